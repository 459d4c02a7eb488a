"""Staff: therapists and assistants."""

from sqlalchemy import CheckConstraint, UniqueConstraint
from sqlmodel import Field

from app.models.columns import JsonValue, Table, one_of_check


class Staff(Table, table=True):
    __table_args__ = (UniqueConstraint("clinic_id", "code"),)

    id: int | None = Field(default=None, primary_key=True)
    clinic_id: int = Field(foreign_key="clinic.id")
    code: str
    is_retired: bool = False
    current_version: int | None = None
    set_up_version: int = 0


class StaffVersion(Table, table=True):
    """Never altered."""

    __table_args__ = (
        UniqueConstraint("staff_id", "version"),
        UniqueConstraint("staff_id", "digest"),
        one_of_check("kind", "therapist", "assistant"),
        CheckConstraint("watch_busy BETWEEN 0 AND watch_free", name="watch_busy"),
    )

    id: int | None = Field(default=None, primary_key=True)
    staff_id: int = Field(foreign_key="staff.id")
    version: int
    digest: str
    name: str
    kind: str
    skills: list[str] = Field(sa_type=JsonValue)
    watch_free: int
    watch_busy: int
