"""Patients, found by what one types, added and changed."""

from collections.abc import Iterable, Mapping, Sequence

from sqlmodel import Session, col, select

from app.db.folding import folded_words, sought_text
from app.models import BookedVisit, Patient


def patient_row(session: Session, clinic_id: int, patient_id: int) -> Patient | None:
    return session.exec(select(Patient).where(Patient.clinic_id == clinic_id, Patient.id == patient_id)).first()


def patients_found(session: Session, clinic_id: int, typed: str, most: int, after: int = 0) -> list[Patient]:
    """Patients with a word of name or code that begins so, for each typed word; by name. Nothing typed: all.

    ``after``: so many of them are left out first. Patients who were forgotten have no name and are not found.
    """
    query = select(Patient).where(Patient.clinic_id == clinic_id, Patient.name != "")
    for word in folded_words(typed):
        query = query.where(col(Patient.sought).contains(f" {word}", autoescape=True))
    query = query.order_by(col(Patient.sought), col(Patient.id)).offset(after).limit(most)
    return list(session.exec(query))


def patients_of_codes(session: Session, clinic_id: int, codes: Sequence[str]) -> dict[str, Patient]:
    found: dict[str, Patient] = {}
    for start in range(0, len(codes), 500):
        some = col(Patient.code).in_(codes[start : start + 500])
        rows = session.exec(select(Patient).where(Patient.clinic_id == clinic_id, some))
        found |= {row.code: row for row in rows}
    return found


def codes_of_patients(session: Session, clinic_id: int) -> set[str]:
    return set(session.exec(select(Patient.code).where(Patient.clinic_id == clinic_id)))


def patients_sought_as(session: Session, clinic_id: int, names: Iterable[str]) -> set[str]:
    """Which of the names, as they are looked for, a patient has already."""
    wanted = set(names)
    known: set[str] = set()
    for name in session.exec(select(Patient.name).where(Patient.clinic_id == clinic_id)):
        said = " ".join(folded_words(name))
        if said in wanted:
            known.add(said)
    return known


def names_on_day(session: Session, day_id: int) -> tuple[tuple[str, str], ...]:
    """Code and name of each patient of the day, by code."""
    query = select(Patient.code, Patient.name).join(BookedVisit, col(BookedVisit.patient_id) == Patient.id)
    query = query.where(BookedVisit.day_id == day_id, col(BookedVisit.is_removed).is_(False))
    found = session.exec(query.distinct().order_by(col(Patient.code))).all()
    return tuple((code, name) for code, name in found)


def names_of_codes(session: Session, clinic_id: int, codes: Sequence[str]) -> dict[str, str]:
    """The names of the patients of these codes."""
    return {code: patient.name for code, patient in patients_of_codes(session, clinic_id, codes).items()}


def rename_patients(session: Session, clinic_id: int, names: Mapping[str, str]) -> None:
    """Give the patients of these codes their names."""
    for code, patient in patients_of_codes(session, clinic_id, list(names)).items():
        patient.name, patient.sought = names[code], sought_text(names[code], code)
