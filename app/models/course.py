"""Courses: what was prescribed for a patient."""

from sqlalchemy import CheckConstraint
from sqlmodel import Field

from app.models.columns import Table, least_check


class Course(Table, table=True):
    """A treatment, how often, and how many days from one session to the next."""

    __table_args__ = (
        least_check("sessions", 1),
        CheckConstraint("least_days >= 0 AND most_days >= least_days", name="days"),
    )

    id: int | None = Field(default=None, primary_key=True)
    patient_id: int = Field(foreign_key="patient.id", index=True)
    treatment_version_id: int = Field(foreign_key="treatment_version.id")
    sessions: int
    least_days: int
    most_days: int
