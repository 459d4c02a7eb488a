"""Applicators: pools of like items."""

from sqlalchemy import UniqueConstraint
from sqlmodel import Field

from app.models.columns import Table, least_check


class Applicator(Table, table=True):
    __table_args__ = (UniqueConstraint("clinic_id", "code"),)

    id: int | None = Field(default=None, primary_key=True)
    clinic_id: int = Field(foreign_key="clinic.id")
    code: str
    is_retired: bool = False
    current_version: int | None = None
    set_up_version: int = 0


class ApplicatorVersion(Table, table=True):
    """Never altered. ``fits_all``: every unit, and then there are no rows of ``ApplicatorUnit``."""

    __table_args__ = (
        UniqueConstraint("applicator_id", "version"),
        UniqueConstraint("applicator_id", "digest"),
        least_check("turnaround_min"),
    )

    id: int | None = Field(default=None, primary_key=True)
    applicator_id: int = Field(foreign_key="applicator.id")
    version: int
    digest: str
    name: str
    turnaround_min: int
    fits_all: bool


class ApplicatorUnit(Table, table=True):
    """A unit that the pool fits."""

    applicator_version_id: int = Field(foreign_key="applicator_version.id", primary_key=True)
    unit_id: int = Field(foreign_key="unit.id", primary_key=True)
    position: int
