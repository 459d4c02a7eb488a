"""Visits of a day."""

from typing import Any

from sqlalchemy import Index, UniqueConstraint
from sqlmodel import Field

from app.db.partial import only_where
from app.models.columns import JsonValue, Table, least_check, one_of_check

SCREENINGS = ("", "not_seen", "decided")
"""Nothing was asked; the clinician has not seen the patient yet, so the Floor asks; the clinician has decided."""


class BookedVisit(Table, table=True):
    """A visit that is asked for, placed or not. Never altered but for its place in the list: a change is a new row.

    ``first_id``: the row that the visit's life began with, on this day or one it was moved from; None: this one.
    ``screening``: the clinician's answer to the questions that were asked when it was booked, see SCREENINGS.
    ``free``: intervals of minutes; None: from open to close. ``fixed``: as in a day file; it is checked against the
    day whenever the day is read.
    """

    __table_args__ = (
        Index("uq_booked_visit_code", "day_id", "code", unique=True, **only_where("is_removed = false")),
        UniqueConstraint("id", "day_id"),
        least_check("priority", 1),
        least_check("wish_min"),
        one_of_check("screening", *SCREENINGS),
    )

    id: int | None = Field(default=None, primary_key=True)
    day_id: int = Field(foreign_key="clinic_day.id")
    code: str
    position: int
    patient_id: int = Field(foreign_key="patient.id", index=True)
    course_id: int | None = Field(default=None, foreign_key="course.id", index=True)
    treatment_version_id: int = Field(foreign_key="treatment_version.id")
    priority: int
    free: list[list[int]] | None = Field(default=None, sa_type=JsonValue)
    wish_min: int | None = None
    therapist_wish_id: int | None = Field(default=None, foreign_key="staff.id")
    therapist_must_id: int | None = Field(default=None, foreign_key="staff.id")
    place_tags: list[str] = Field(sa_type=JsonValue)
    fixed: dict[str, Any] | None = Field(default=None, sa_type=JsonValue)
    is_removed: bool = False
    first_id: int | None = Field(default=None, foreign_key="booked_visit.id", index=True)
    screening: str = ""
