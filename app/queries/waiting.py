"""The waiting list, read: by priority, then by who has waited longest."""

from dataclasses import dataclass
from typing import Any

from sqlmodel import Session, col, select

from app.models import Patient, Staff, Treatment, TreatmentVersion, Waiting
from app.queries.treatments import parts_of_versions


@dataclass(frozen=True, slots=True)
class WaitingRow:
    """``document``: the visit that is waited for, as in a day file, without when."""

    row: Waiting
    patient: Patient
    treatment: str
    therapist: str | None
    document: dict[str, Any]


def waiting_rows(session: Session, clinic_id: int) -> list[WaitingRow]:
    query = (
        select(Waiting, Patient, Treatment.name, TreatmentVersion.same_unit)
        .join(Patient, col(Patient.id) == Waiting.patient_id)
        .join(TreatmentVersion, col(TreatmentVersion.id) == Waiting.treatment_version_id)
        .join(Treatment, col(Treatment.id) == TreatmentVersion.treatment_id)
        .where(Waiting.clinic_id == clinic_id, col(Waiting.is_removed).is_(False), Patient.name != "")
        .order_by(col(Waiting.priority).desc(), col(Waiting.since), col(Waiting.id))
    )
    rows = session.exec(query).all()
    parts = parts_of_versions(session, [row.treatment_version_id for row, _, _, _ in rows])
    staff = dict(session.exec(select(Staff.id, Staff.code).where(Staff.clinic_id == clinic_id)).all())
    found = []
    for row, patient, name, same_unit in rows:
        therapist = staff.get(row.therapist_wish_id)
        document = {
            "id": f"waiting-{row.id}",
            "patient": patient.code,
            "priority": row.priority,
            "therapist_wish": therapist,
            "same_unit": same_unit,
            "parts": parts[row.treatment_version_id],
        }
        found.append(WaitingRow(row, patient, name, therapist, document))
    return found


def entries_of(session: Session, patient_id: int) -> list[int]:
    """The ids of all entries that the patient ever had."""
    query = select(Waiting).where(Waiting.patient_id == patient_id).order_by(col(Waiting.id))
    return [row.id or 0 for row in session.exec(query)]


def waiting_row(session: Session, clinic_id: int, waiting_id: int, *, also_removed: bool = False) -> Waiting | None:
    """Also none where it was taken off, unless that is asked for."""
    query = select(Waiting).where(Waiting.clinic_id == clinic_id, Waiting.id == waiting_id)
    if not also_removed:
        query = query.where(col(Waiting.is_removed).is_(False))
    return session.exec(query).first()
