"""Treatments of the catalogue. A booked visit keeps the version it was booked with."""

from sqlalchemy import UniqueConstraint
from sqlmodel import Field

from app.models.columns import Table


class Treatment(Table, table=True):
    __table_args__ = (UniqueConstraint("clinic_id", "code"),)

    id: int | None = Field(default=None, primary_key=True)
    clinic_id: int = Field(foreign_key="clinic.id")
    code: str
    name: str
    is_retired: bool = False


class TreatmentVersion(Table, table=True):
    """Never altered. ``same_unit``: all parts on one unit, in one stay."""

    __table_args__ = (UniqueConstraint("treatment_id", "version"), UniqueConstraint("treatment_id", "digest"))

    id: int | None = Field(default=None, primary_key=True)
    treatment_id: int = Field(foreign_key="treatment.id")
    version: int
    digest: str = Field(index=True)
    same_unit: bool
