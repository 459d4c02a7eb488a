"""A day of a clinic: its frame, and the versions of everything that is there on it.

``version`` goes up with every change of the day, its visits or its plan. Whoever saves names the version they read.
"""

import datetime

from sqlalchemy import CheckConstraint, UniqueConstraint
from sqlmodel import Field

from app.models.columns import JsonValue, Table, least_check, span_check


class ClinicDay(Table, table=True):
    """The row is ``clinic_day``, since ``Day`` is the solver's."""

    __table_args__ = (
        UniqueConstraint("clinic_id", "date"),
        CheckConstraint("step_min IN (1, 5, 10, 15)", name="step_min"),
        span_check("open_min", "close_min"),
        least_check("move_min"),
        least_check("bay_turnover_min"),
        least_check("version", 1),
    )

    id: int | None = Field(default=None, primary_key=True)
    clinic_id: int = Field(foreign_key="clinic.id")
    date: datetime.date
    time_zone: str
    version: int
    open_min: int
    close_min: int
    step_min: int
    move_min: int
    bay_turnover_min: int
    aims: list[str] = Field(sa_type=JsonValue)


class DayUnit(Table, table=True):
    """``hours``: intervals of minutes; None: in service from open to close."""

    day_id: int = Field(foreign_key="clinic_day.id", primary_key=True)
    unit_version_id: int = Field(foreign_key="unit_version.id", primary_key=True)
    position: int
    hours: list[list[int]] | None = Field(default=None, sa_type=JsonValue)


class DayApplicator(Table, table=True):
    day_id: int = Field(foreign_key="clinic_day.id", primary_key=True)
    applicator_version_id: int = Field(foreign_key="applicator_version.id", primary_key=True)
    position: int


class DayPlace(Table, table=True):
    day_id: int = Field(foreign_key="clinic_day.id", primary_key=True)
    place_version_id: int = Field(foreign_key="place_version.id", primary_key=True)
    position: int


class DayStaff(Table, table=True):
    """``hours``: intervals of minutes."""

    day_id: int = Field(foreign_key="clinic_day.id", primary_key=True)
    staff_version_id: int = Field(foreign_key="staff_version.id", primary_key=True)
    position: int
    hours: list[list[int]] = Field(sa_type=JsonValue)
