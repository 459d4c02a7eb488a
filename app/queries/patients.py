"""Patients."""

from collections.abc import Collection, Mapping

from sqlmodel import Session, col, select

from app.models import Patient


def names_of_codes(session: Session, clinic_id: int, codes: Collection[str]) -> dict[str, str]:
    """The names of the patients of these codes."""
    query = select(Patient.code, Patient.name).where(Patient.clinic_id == clinic_id, col(Patient.code).in_(codes))
    return dict(session.exec(query).all())


def rename_patients(session: Session, clinic_id: int, names: Mapping[str, str]) -> None:
    """Give the patients of these codes their names."""
    query = select(Patient).where(Patient.clinic_id == clinic_id, col(Patient.code).in_(names))
    for patient in session.exec(query).all():
        patient.name = names[patient.code]
