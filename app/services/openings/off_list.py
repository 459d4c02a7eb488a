"""Whoever waited and is booked: off the waiting list in the booking's transaction, and on it again in that of its undo.

What took an entry off is read in the audit, so that no other entry can be put back, nor one that was touched since.
"""

from collections.abc import Collection, Mapping

from sqlmodel import Session

from app.db.store import Store
from app.models import Clinic
from app.queries.audits import add_audit, last_audits
from app.queries.clinics import the_clinic
from app.queries.openings import treatment_version
from app.queries.waiting import entries_of, waiting_row
from app.services.openings.asking import Wanted
from solver.errors import Fault, InputError

_TAKEN_OFF = "booked from the waiting list"


def take_off_booked(
    session: Session, clinic: Clinic, waiting_id: int, booked: Mapping[str, Wanted], actor: str
) -> bool:
    """Take the entry off if one of the visits, which go by their codes, is of its patient and its treatment.

    Whether it is off for one of them; also where it was so before.
    """
    row = waiting_row(session, clinic.id or 0, waiting_id)
    if row is None:
        return _is_off_for(session, clinic, waiting_id, booked)
    waited = _treatment(session, clinic, row.treatment_version_id)
    for code, wanted in booked.items():
        if wanted.patient_id == row.patient_id and _treatment(session, clinic, wanted.treatment_version_id) == waited:
            row.is_removed = True
            add_audit(session, clinic.id or 0, actor, _TAKEN_OFF, _record(waiting_id), after={"visit": code})
            return True
    return False


def refuse_if_off(session: Session, clinic: Clinic, waiting_id: int, wanted: Mapping[str, Wanted]) -> None:
    """Raises InputError where the entry that is to be booked is off the list by now, and not for these visits."""
    row = waiting_row(session, clinic.id or 0, waiting_id, also_removed=True)
    if row is None or not row.is_removed or _is_off_for(session, clinic, waiting_id, wanted):
        return
    if any(one.patient_id == row.patient_id for one in wanted.values()):
        what = "they are not on the waiting list any more"
        raise InputError([Fault("waiting", what, "look at what is booked for them already, then choose again")])


def put_back_on(session: Session, clinic: Clinic, waiting_id: int, codes: Collection[str], actor: str) -> bool:
    """Put the entry back if the booking of one of these visits took it off. Whether it did."""
    row = waiting_row(session, clinic.id or 0, waiting_id, also_removed=True)
    if row is None or not _is_off_for(session, clinic, waiting_id, codes):
        return False
    row.is_removed = False
    add_audit(session, clinic.id or 0, actor, "put back on the waiting list", _record(waiting_id))
    return True


def take_all_off(session: Session, clinic: Clinic, booked: Mapping[str, Wanted], actor: str) -> bool:
    """Take off every entry that one of the visits is what it is for. Whether one is off for them."""
    patients = {wanted.patient_id for wanted in booked.values()}
    ids = [id for patient_id in patients for id in entries_of(session, patient_id)]
    return bool([id for id in ids if take_off_booked(session, clinic, id, booked, actor)])


def put_all_back_on(session: Session, clinic: Clinic, patient_id: int, codes: Collection[str], actor: str) -> bool:
    """Put back every entry of the patient that the booking of one of these visits took off. Whether there was one."""
    ids = entries_of(session, patient_id)
    return bool([id for id in ids if put_back_on(session, clinic, id, codes, actor)])


def is_waited_for(store: Store, wanted: Wanted) -> bool:
    """Whether the patient is on the waiting list for the treatment."""
    with store.reading() as session:
        clinic = the_clinic(session)
        rows = [waiting_row(session, clinic.id or 0, id) for id in entries_of(session, wanted.patient_id)]
        treatment = _treatment(session, clinic, wanted.treatment_version_id)
        return any(row and _treatment(session, clinic, row.treatment_version_id) == treatment for row in rows)


def _is_off_for(session: Session, clinic: Clinic, waiting_id: int, codes: Collection[str]) -> bool:
    last = last_audits(session, clinic.id or 0, _record(waiting_id), 1)
    return any(one.action == _TAKEN_OFF and one.after.get("visit") in codes for one in last)


def _treatment(session: Session, clinic: Clinic, version_id: int) -> int | None:
    found = treatment_version(session, clinic.id or 0, version_id)
    return None if found is None else found[0].id


def _record(waiting_id: int) -> str:
    return f"waiting {waiting_id}"
