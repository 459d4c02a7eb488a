"""Patients."""

from sqlalchemy import UniqueConstraint
from sqlmodel import Field

from app.models.columns import Table


class Patient(Table, table=True):
    """``code`` is what day files call the patient."""

    __table_args__ = (UniqueConstraint("clinic_id", "code"),)

    id: int | None = Field(default=None, primary_key=True)
    clinic_id: int = Field(foreign_key="clinic.id")
    code: str
    name: str
