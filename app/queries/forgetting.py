"""A patient's name and code, taken out of every row that has them. Rows, minutes and counts stay as they are."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from sqlalchemy import select as select_columns
from sqlalchemy import update
from sqlmodel import Session, SQLModel, col, select

from app.db.guards import changes_allowed
from app.models import (
    Applicator,
    Bay,
    BookedVisit,
    Channel,
    ClinicDay,
    Item,
    LiveEvent,
    Patient,
    Place,
    Staff,
    Treatment,
    TreatmentVersion,
    Unit,
)
from app.typed import whole

WRITTEN: Mapping[str, Sequence[str]] = {
    "absence": ("note",),
    "audit": ("record", "before", "after"),
    "booked_visit": ("code",),
    "closure": ("reason",),
    "course": ("prescribed_by",),
    "left_out_visit": ("reasons",),
    "live_event": ("detail",),
    "out_of_service": ("note",),
    "patient": ("note",),
    "told_visit": ("told",),
    "treatment": ("code", "name"),
    "treatment_part": ("code", "mode", "duty", "intensity_unit", "placement", "preparation"),
    "treatment_version": ("body_site", "prescribed_by", "note"),
    "upkeep": ("note",),
    "visit_status": ("reason", "taken_out"),
    "waiting": ("note",),
}
"""Columns, by table, in which people can write what they like, or that repeat what was written there."""
_NOTES = frozenset({"note", "said", "reason", "answers"})
"""Of an event's detail: what people wrote or answered about the patient."""
_APPEND_ONLY = ("audit", "live_event", "upkeep", "visit_status")

Reword = Callable[[str], str]


def patient_of(session: Session, clinic_id: int, code_or_id: str) -> Patient | None:
    """The patient of the code, or else of the id."""
    coded = select(Patient).where(Patient.clinic_id == clinic_id, Patient.code == code_or_id)
    found = session.exec(coded).first()
    id = whole(code_or_id)
    if found is not None or id is None:
        return found
    numbered = select(Patient).where(Patient.clinic_id == clinic_id, Patient.id == id)
    return session.exec(numbered).first()


def is_patient_code(session: Session, clinic_id: int, code: str) -> bool:
    return (
        session.exec(select(Patient.id).where(Patient.clinic_id == clinic_id, Patient.code == code)).first() is not None
    )


def visits_of_patient(session: Session, patient_id: int) -> list[BookedVisit]:
    """All there ever were, also those that were changed or taken out since."""
    return list(session.exec(select(BookedVisit).where(BookedVisit.patient_id == patient_id)))


def days_of_patient(session: Session, patient_id: int) -> list[ClinicDay]:
    here = select(BookedVisit.day_id).where(BookedVisit.patient_id == patient_id)
    return list(session.exec(select(ClinicDay).where(col(ClinicDay.id).in_(here)).order_by(col(ClinicDay.date))))


def names_of_others(session: Session, patient_id: int) -> set[str]:
    """What is called so for another reason: codes of things and of staff, and of other patients and their visits."""
    names: set[str] = set()
    for coded in (Applicator, Bay, Channel, Item, Place, Staff, Unit):
        names.update(session.exec(select(coded.code)))
    names.update(session.exec(select(Patient.code).where(Patient.id != patient_id)))
    names.update(session.exec(select(BookedVisit.code).where(BookedVisit.patient_id != patient_id)))
    return names


def reword_everywhere(session: Session, patient_id: int, reword: Reword) -> None:
    """Write everything anew that people wrote; notes about the patient's own visits, and answers, are emptied."""
    connection = session.connection()
    for table in _APPEND_ONLY:
        with changes_allowed(connection, table):
            _reword_table(session, table, reword)
            if table == LiveEvent.__tablename__:
                _empty_notes(session, patient_id)
    for table in WRITTEN.keys() - set(_APPEND_ONLY):
        _reword_table(session, table, reword)
    own = select(Treatment.id).where(Treatment.patient_id == patient_id)
    versions = select(TreatmentVersion.id).where(
        col(TreatmentVersion.treatment_id).in_(own), TreatmentVersion.note != ""
    )
    for id in session.exec(versions).all():
        emptied = update(TreatmentVersion).where(col(TreatmentVersion.id) == id).values(note="")
        session.connection().execute(emptied)
        _unlike_any_other(session, id or 0, is_for_files=False)


def _reword_table(session: Session, name: str, reword: Reword) -> None:
    table, connection = SQLModel.metadata.tables[name], session.connection()
    keys = list(table.primary_key.columns)
    for row in connection.execute(select_columns(*keys, *(table.c[column] for column in WRITTEN[name]))).all():
        old = dict(zip(WRITTEN[name], row[len(keys) :], strict=True))
        new = {column: _reworded(value, reword, reword) for column, value in old.items()}
        if new != old:
            same = (key == value for key, value in zip(keys, row[: len(keys)], strict=True))
            connection.execute(update(table).where(*same).values(new))
            if name in ("treatment_part", "treatment_version"):
                _unlike_any_other(session, row[0], is_for_files="code" in new and new["code"] != old["code"])


def _unlike_any_other(session: Session, version_id: int, *, is_for_files: bool) -> None:
    """The version says something else now than its digests do; a file with a part's old name asks for another."""
    reworded = f"reworded-{version_id}"
    values = {"digest": reworded, **({"scheduling_digest": reworded} if is_for_files else {})}
    version = update(TreatmentVersion).where(col(TreatmentVersion.id) == version_id)
    session.connection().execute(version.values(values))


def _empty_notes(session: Session, patient_id: int) -> None:
    own = select(BookedVisit.id).where(BookedVisit.patient_id == patient_id)
    events = select(LiveEvent.id, LiveEvent.detail).where(col(LiveEvent.visit_id).in_(own))
    for id, detail in session.exec(events).all():
        emptied = {
            key: _reworded(value, lambda _: "", str) if key in _NOTES else value for key, value in detail.items()
        }
        session.connection().execute(update(LiveEvent).where(col(LiveEvent.id) == id).values(detail=emptied))


def _reworded(value: Any, reword: Reword, of_keys: Reword) -> Any:
    """The value with every text in it reworded."""
    if isinstance(value, dict):
        return {of_keys(key): _reworded(entry, reword, of_keys) for key, entry in value.items()}
    if isinstance(value, list):
        return [_reworded(entry, reword, of_keys) for entry in value]
    return reword(value) if isinstance(value, str) else value
