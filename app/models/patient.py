"""Patients."""

from typing import Any

from sqlalchemy import UniqueConstraint, event
from sqlmodel import Field

from app.db.folding import sought_text
from app.models.columns import Table


class Patient(Table, table=True):
    """``code`` is what day files call the patient. ``note``: for appointments only, no diagnosis.

    ``sought``: the words of name and code as they are looked for, kept by itself. ``version`` counts changes.
    """

    __table_args__ = (UniqueConstraint("clinic_id", "code"),)

    id: int | None = Field(default=None, primary_key=True)
    clinic_id: int = Field(foreign_key="clinic.id")
    code: str
    name: str
    phone: str = ""
    note: str = ""
    sought: str = ""
    version: int = 1


def _keep_sought(_mapper: Any, _connection: Any, patient: Patient) -> None:
    patient.sought = sought_text(patient.name, patient.code)


event.listen(Patient, "before_insert", _keep_sought)
event.listen(Patient, "before_update", _keep_sought)
