"""A clinic: one site whose days are planned together."""

from uuid import uuid4

from sqlalchemy import CheckConstraint
from sqlmodel import Field

from app.models.columns import JsonValue, Table, least_check


class Clinic(Table, table=True):
    """``time_zone`` is a name such as ``Europe/Dublin``. ``what_to_bring`` stands on every slip.

    ``calendar_key`` makes the names of its calendars' entries unlike any other clinic's. The rest is what a new day
    begins with.
    """

    __table_args__ = (
        CheckConstraint("step_min IN (1, 5, 10, 15)", name="step_min"),
        least_check("move_min"),
        least_check("bay_turnover_min"),
    )

    id: int | None = Field(default=None, primary_key=True)
    name: str = Field(unique=True)
    time_zone: str
    step_min: int = 5
    move_min: int = 0
    bay_turnover_min: int = 0
    aims: list[str] = Field(sa_type=JsonValue)
    set_up_version: int = 0
    what_to_bring: str = ""
    calendar_key: str = Field(default_factory=lambda: str(uuid4()))
