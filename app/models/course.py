"""Courses: what was prescribed for a patient."""

from datetime import date

from sqlalchemy import CheckConstraint
from sqlmodel import Field

from app.models.columns import JsonValue, Table, least_check, one_of_check


class Course(Table, table=True):
    """A treatment, how often, and how many days from one session to the next.

    ``weekdays``: 0 is Monday; None: any. ``hours``: preferred, as intervals of minutes; None: any. ``version`` counts
    changes.
    """

    __table_args__ = (
        least_check("sessions", 1),
        CheckConstraint("least_days >= 0 AND most_days >= least_days", name="days"),
        least_check("priority", 1),
        one_of_check("status", "open", "finished", "ended"),
    )

    id: int | None = Field(default=None, primary_key=True)
    patient_id: int = Field(foreign_key="patient.id", index=True)
    treatment_version_id: int = Field(foreign_key="treatment_version.id")
    sessions: int
    least_days: int
    most_days: int
    weekdays: list[int] | None = Field(default=None, sa_type=JsonValue)
    hours: list[list[int]] | None = Field(default=None, sa_type=JsonValue)
    therapist_id: int | None = Field(default=None, foreign_key="staff.id")
    priority: int = 1
    prescribed_by: str = ""
    prescribed_on: date | None = None
    status: str = "open"
    version: int = 1
