"""Weekly hours: when the clinic is open, when staff are there, and the breaks that are due then."""

from sqlmodel import Field

from app.models.columns import Table, least_check, span_check, weekday_check


class Opening(Table, table=True):
    """The clinic is open on a weekday; a weekday without a row is closed."""

    __table_args__ = (weekday_check(), span_check())

    clinic_id: int = Field(foreign_key="clinic.id", primary_key=True)
    weekday: int = Field(primary_key=True)
    start_min: int
    end_min: int


class WeeklyHours(Table, table=True):
    """A staff member is there on a weekday, in one interval a row."""

    __table_args__ = (weekday_check(), span_check())

    staff_id: int = Field(foreign_key="staff.id", primary_key=True)
    weekday: int = Field(primary_key=True)
    start_min: int = Field(primary_key=True)
    end_min: int


class WeeklyBreak(Table, table=True):
    """A break of ``minutes`` is due on a weekday, somewhere from ``start_min`` to ``end_min``."""

    __table_args__ = (weekday_check(), span_check(), least_check("minutes", 1))

    staff_id: int = Field(foreign_key="staff.id", primary_key=True)
    weekday: int = Field(primary_key=True)
    position: int = Field(primary_key=True)
    minutes: int
    start_min: int
    end_min: int
