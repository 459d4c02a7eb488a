"""Patients: made, changed, listed, and found as one types. Nothing of a diagnosis is kept."""

import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlmodel import Session

from app.db.store import Store
from app.errors import StaleRecordError
from app.models import Patient
from app.queries.audits import add_audit
from app.queries.clinics import the_clinic
from app.queries.patients import codes_of_patients, patient_row, patients_found
from app.services.treatments.form import read_text
from solver.errors import Fault, InputError
from solver.reading.faults import Faults

_LETTERS = "ABCDEFGHJKMNPQRSTUVWXYZ23456789"
"""Without those that are mistaken for another."""
_CODE_LETTERS = 6
_LONGEST_TYPED = 200
"""Letters that are looked for, of what was typed: no name has more."""


@dataclass(frozen=True, slots=True)
class PatientLine:
    """A patient. ``version`` is what a change gives back as ``read``."""

    id: int
    code: str
    name: str
    phone: str
    note: str
    version: int


def find_patients(store: Store, typed: str, *, most: int = 12, after: int = 0) -> list[PatientLine]:
    """Those with a word of name or code beginning as typed, for each word typed; by name; case and accents are alike.

    Nothing typed: all, from the one numbered ``after`` on.
    """
    with store.reading() as session:
        rows = patients_found(session, the_clinic(session).id or 0, typed[:_LONGEST_TYPED], most, after)
        return [_line(row) for row in rows]


def read_patient(store: Store, patient_id: int) -> PatientLine:
    """Raises InputError where there is no such patient."""
    with store.reading() as session:
        return _line(patient_meant(session, the_clinic(session).id or 0, patient_id))


def make_patient(store: Store, name: str, *, phone: str = "", note: str = "", actor: str) -> PatientLine:
    """A new patient with a code of chance. Raises InputError with every fault."""
    texts = read_patient_texts(name, phone, note)
    with store.writing() as session:
        clinic_id = the_clinic(session, to_write=True).id or 0
        code = free_code(codes_of_patients(session, clinic_id))
        patient = Patient(clinic_id=clinic_id, code=code, **texts)
        session.add(patient)
        session.flush()
        add_audit(session, clinic_id, actor, "made", f"patient {patient.id}", after={"code": code})
        return _line(patient)


def change_patient(
    store: Store, patient_id: int, name: str, *, phone: str = "", note: str = "", read: int, actor: str
) -> PatientLine:
    """Raises InputError with every fault, and StaleRecordError where the patient was changed since ``read``."""
    texts = read_patient_texts(name, phone, note)
    with store.writing() as session:
        clinic_id = the_clinic(session, to_write=True).id or 0
        patient = patient_meant(session, clinic_id, patient_id)
        if patient.version != read:
            raise StaleRecordError(f"patient {patient_id}")
        if not patient.name:
            raise InputError([Fault("patient", "their data were removed on request", "make a new patient")])
        changed = [key for key, text in texts.items() if getattr(patient, key) != text]
        if changed:
            put_texts(session, patient, texts)
            add_audit(session, clinic_id, actor, "changed", f"patient {patient_id}", after={"changed": changed})
        return _line(patient)


def put_texts(session: Session, patient: Patient, texts: Mapping[str, str]) -> None:
    for key, text in texts.items():
        setattr(patient, key, text)
    patient.version += 1
    session.add(patient)
    session.flush()


def patient_meant(session: Session, clinic_id: int, patient_id: int) -> Patient:
    patient = patient_row(session, clinic_id, patient_id)
    if patient is None:
        raise InputError([Fault("patient", "there is no such patient", "choose one of the list")])
    return patient


def read_patient_texts(name: object, phone: object, note: object) -> dict[str, Any]:
    """The columns that people fill in. Raises InputError with every fault, at ``name``, ``phone`` and ``note``."""
    faults = Faults()
    texts = {
        "name": read_text(faults, "name", name, needed="the patient's name"),
        "phone": read_text(faults, "phone", phone),
        "note": read_text(faults, "note", note),
    }
    faults.refuse_if_any()
    return texts


def free_code(taken: set[str]) -> str:
    """A code that nobody has, not made from a name; it is added to those taken."""
    code = ""
    while not code or code in taken:
        code = "".join(secrets.choice(_LETTERS) for _ in range(_CODE_LETTERS))
    taken.add(code)
    return code


def _line(row: Patient) -> PatientLine:
    return PatientLine(row.id or 0, row.code, row.name, row.phone, row.note, row.version)
