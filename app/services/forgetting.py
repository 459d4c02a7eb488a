"""A patient's data removed on request: who it was goes, what was done stays.

The name and the code give way to a neutral code, wherever they are written; visits, their minutes and all counts stay,
and so a past day still verifies and reports the same. The database's file is then made anew, so that no free page has
the old name. Backups that were made before still have it, and so do files that were exported.
"""

import re
from dataclasses import dataclass

from sqlmodel import Session

from app.db.keeping import erase_old_rows
from app.db.store import Store
from app.errors import StoreError
from app.models import Patient
from app.queries.audits import add_audit
from app.queries.clinics import the_clinic
from app.queries.forgetting import (
    WRITTEN,
    Reword,
    days_of_patient,
    is_patient_code,
    names_of_others,
    patient_of,
    reword_everywhere,
    visits_of_patient,
)
from solver.errors import Fault, InputError

_ACTOR = "channelday forget-patient"
_SHORTEST = 3
"""Letters of a word that is looked for in what people wrote: shorter ones are in too much that is about nobody."""


@dataclass(frozen=True, slots=True)
class Found:
    """The patient who is meant. ``visits``: how many they ever had; ``is_forgotten``: it was done before."""

    id: int
    code: str
    visits: int
    is_forgotten: bool


def patient_meant(store: Store, code_or_id: str) -> Found:
    """Raises InputError where there is no such patient."""
    with store.reading() as session:
        return _found(session, the_clinic(session).id or 0, code_or_id)[1]


def forget_patient(store: Store, code_or_id: str) -> str:
    """Forget the patient; the neutral code that stands for them now. Days they are on have another version then.

    Raises InputError where there is no such patient, and StoreError where the database cannot be written, or where it
    is done and others kept the old pages in use: then do it again, with the neutral code.
    """
    with store.writing() as session:
        clinic = the_clinic(session, to_write=True)
        patient, found = _found(session, clinic.id or 0, code_or_id)
        neutral = found.code if found.is_forgotten else _forget(session, patient)
    try:
        erase_old_rows(store, WRITTEN)
    except StoreError as error:
        again = f"channelday forget-patient {neutral}"
        raise StoreError(
            store.name, f"the patient is forgotten, but old pages are not erased ({error})", again
        ) from None
    return neutral


def _found(session: Session, clinic_id: int, code_or_id: str) -> tuple[Patient, Found]:
    patient = patient_of(session, clinic_id, code_or_id)
    if patient is None or patient.id is None:
        raise InputError([Fault("PATIENT", "there is no such patient", "give the code that day files have, or the id")])
    visits = len(visits_of_patient(session, patient.id))
    return patient, Found(patient.id, patient.code, visits, patient.name == "")


def _forget(session: Session, patient: Patient) -> str:
    assert patient.id is not None
    neutral = _neutral_code(session, patient)
    words = {word for word in (patient.name, patient.code) if _can_be_looked_for(word)}
    reword = _rewording(words - names_of_others(session, patient.id), neutral)
    patient.code, patient.name, patient.phone, patient.note = neutral, "", "", ""
    patient.version += 1
    session.add(patient)
    session.flush()
    reword_everywhere(session, patient.id, reword)
    session.expire_all()
    clinic_id = patient.clinic_id
    for day in days_of_patient(session, patient.id):
        # Whoever read the day before would write the name back; so theirs is the stale version.
        day.version += 1
        session.add(day)
        add_audit(session, clinic_id, _ACTOR, "forgot", f"day {day.date}", day=day, after={"a patient's name": neutral})
    visits = len(visits_of_patient(session, patient.id))
    add_audit(session, clinic_id, _ACTOR, "forgot", f"patient {patient.id}", after={"code": neutral, "visits": visits})
    return neutral


def _neutral_code(session: Session, patient: Patient) -> str:
    wanted = f"forgotten-{patient.id}"
    code, n = wanted, 1
    while is_patient_code(session, patient.clinic_id, code):
        n += 1
        code = f"{wanted}-{n}"
    return code


def _can_be_looked_for(word: str) -> bool:
    return len(word) >= _SHORTEST and any(letter.isalpha() for letter in word)


def _rewording(words: set[str], neutral: str) -> Reword:
    """Puts the neutral code in the place of each of the words, where it is a word and not a piece of one.

    A name of several words is found in capitals too; a single one as it is written, for it may mean something else.
    """
    if not words:
        return lambda text: text
    longest_first = sorted(words, key=len, reverse=True)
    alternatives = "|".join(f"(?i:{re.escape(word)})" if " " in word else re.escape(word) for word in longest_first)
    pattern = re.compile(rf"(?<!\w)(?:{alternatives})(?!\w)")
    return lambda text: pattern.sub(neutral, text)
