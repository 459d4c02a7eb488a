"""The waiting list: who would come if something became free."""

from datetime import datetime

from sqlmodel import Field

from app.models.columns import Instant, JsonValue, Table, least_check


class Waiting(Table, table=True):
    """``weekdays``: 0 is Monday; None: any. ``hours``: intervals of minutes; None: any. ``note``: no diagnosis.

    ``since``: when they were put on the list. ``version`` counts changes. ``is_removed``: not on the list any more.
    """

    __table_args__ = (least_check("priority", 1),)

    id: int | None = Field(default=None, primary_key=True)
    clinic_id: int = Field(foreign_key="clinic.id", index=True)
    patient_id: int = Field(foreign_key="patient.id", index=True)
    treatment_version_id: int = Field(foreign_key="treatment_version.id")
    priority: int = 1
    since: datetime = Field(sa_type=Instant)
    weekdays: list[int] | None = Field(default=None, sa_type=JsonValue)
    hours: list[list[int]] | None = Field(default=None, sa_type=JsonValue)
    therapist_wish_id: int | None = Field(default=None, foreign_key="staff.id")
    note: str = ""
    version: int = 1
    is_removed: bool = False
