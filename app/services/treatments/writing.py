"""Treatments made, changed, retired and brought back. A change is a new version; what was booked keeps its own."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from sqlmodel import Session

from app.db.folding import folded_words
from app.db.store import Store
from app.errors import StaleRecordError
from app.models import Applicator, Clinic, Treatment, TreatmentVersion, Unit
from app.queries.audits import add_audit
from app.queries.catalogue import (
    codes_in_use,
    count_of_versions,
    treatment_codes,
    version_row,
    version_with_digest,
)
from app.queries.clinics import the_clinic
from app.queries.codes import digest_of
from app.queries.treatments import Treatments, scheduling_digest
from app.services.treatments.catalogue import read_version, treatment_meant
from app.services.treatments.form import Prescribed, read_form
from solver.errors import Fault, InputError

Document = dict[str, Any]
_LONGEST_CODE = 40


def make_treatment(store: Store, form: Mapping[str, Any], *, actor: str) -> int:
    """A new treatment of the catalogue; its id. Raises InputError with every fault of the form (see ``form.py``)."""
    with store.writing() as session:
        clinic = the_clinic(session, to_write=True)
        prescribed = read_for(session, clinic, form)
        code = _free_code(session, clinic, "-".join(folded_words(prescribed.name)) or "treatment")
        treatment = Treatment(clinic_id=clinic.id or 0, code=code, name=prescribed.name)
        add_first_version(session, clinic, treatment, prescribed)
        said = {"name": treatment.name, "version": 1}
        add_audit(session, clinic.id or 0, actor, "made", f"treatment {treatment.id}", after=said)
        return treatment.id or 0


def change_treatment(store: Store, treatment_id: int, form: Mapping[str, Any], *, read: int, actor: str) -> int:
    """The version that is prescribed from now on, a new one where anything but the name differs.

    ``read``: the edition that the form was made from. Raises InputError with every fault of the form, and
    StaleRecordError where the treatment was changed since.
    """
    with store.writing() as session:
        clinic = the_clinic(session, to_write=True)
        treatment = not_stale(session, clinic, treatment_id, read)
        if treatment.patient_id is not None:
            raise InputError([Fault("treatment", "it is a patient's own", "change it where the patient is")])
        prescribed = read_for(session, clinic, form)
        was = read_version(session, treatment, version_row(session, treatment.id, treatment.version))
        change_to(session, clinic, treatment, prescribed, {})
        now = read_version(session, treatment, version_row(session, treatment.id, treatment.version))
        keys = [key for key in now.form if now.form[key] != was.form[key]]
        if keys:
            audit_change(session, clinic, treatment, actor, was.version, was.form, now.form, keys)
        return treatment.version


def audit_change(
    session: Session,
    clinic: Clinic,
    treatment: Treatment,
    actor: str,
    version: int,
    was: Document,
    now: Document,
    keys: list[str],
) -> None:
    """Say what was changed; of a patient's own treatment only that it was, for its texts may name the patient."""
    told = keys if treatment.patient_id is None else []
    before = {"version": version, **{key: was[key] for key in told}}
    after = {"version": treatment.version, **{key: now[key] for key in told}}
    record = f"treatment {treatment.id}"
    add_audit(session, clinic.id or 0, actor, "changed", record, before=before, after=after)


def retire_treatment(store: Store, treatment_id: int, *, read: int, actor: str) -> None:
    """No longer in the catalogue; what was prescribed and booked stays. Raises as ``change_treatment``."""
    _set_retired(store, treatment_id, True, read, actor)


def bring_back_treatment(store: Store, treatment_id: int, *, read: int, actor: str) -> None:
    """In the catalogue again. Raises as ``change_treatment``."""
    _set_retired(store, treatment_id, False, read, actor)


def _set_retired(store: Store, treatment_id: int, retired: bool, read: int, actor: str) -> None:
    with store.writing() as session:
        clinic = the_clinic(session, to_write=True)
        treatment = not_stale(session, clinic, treatment_id, read)
        if treatment.is_retired == retired:
            return
        treatment.is_retired = retired
        treatment.edition += 1
        session.add(treatment)
        action = "retired" if retired else "brought back"
        add_audit(session, clinic.id or 0, actor, action, f"treatment {treatment.id}")


def not_stale(session: Session, clinic: Clinic, treatment_id: int, read: int) -> Treatment:
    treatment = treatment_meant(session, clinic.id or 0, treatment_id)
    if treatment.edition != read:
        raise StaleRecordError(f"treatment {treatment_id}")
    return treatment


def read_for(session: Session, clinic: Clinic, form: Mapping[str, Any]) -> Prescribed:
    clinic_id = clinic.id or 0
    return read_form(form, codes_in_use(session, Unit, clinic_id), codes_in_use(session, Applicator, clinic_id))


def add_first_version(
    session: Session, clinic: Clinic, treatment: Treatment, prescribed: Prescribed, by: Mapping[str, Any] | None = None
) -> None:
    session.add(treatment)
    session.flush()
    _add_version(session, clinic, treatment, prescribed, by or {}, 1)


def change_to(
    session: Session, clinic: Clinic, treatment: Treatment, prescribed: Prescribed, by: Mapping[str, Any]
) -> None:
    """Prescribe this from now on. ``by``: columns of the version that say who prescribed it, why, and from what."""
    known = version_with_digest(session, treatment.id or 0, _digest(prescribed, by))
    if known is not None:
        number = known.version
    else:
        number = count_of_versions(session, treatment.id or 0) + 1
        _add_version(session, clinic, treatment, prescribed, by, number)
    if (number, prescribed.name) != (treatment.version, treatment.name):
        treatment.version, treatment.name = number, prescribed.name
        treatment.edition += 1
        session.add(treatment)
        session.flush()


def _add_version(
    session: Session,
    clinic: Clinic,
    treatment: Treatment,
    prescribed: Prescribed,
    by: Mapping[str, Any],
    number: int,
) -> None:
    row = TreatmentVersion(
        treatment_id=treatment.id or 0,
        version=number,
        digest=_digest(prescribed, by),
        scheduling_digest=scheduling_digest(prescribed.document),
        same_unit=prescribed.same_unit,
        body_site=prescribed.body_site,
        **by,
    )
    Treatments(session, clinic.id or 0).add_version(row, prescribed.parts, prescribed.settings)


def _digest(prescribed: Prescribed, by: Mapping[str, Any]) -> str:
    """Of all that the version says; the scheduling's alone where nothing else is said."""
    scheduling = scheduling_digest(prescribed.document)
    said = {key: value.isoformat() if isinstance(value, date) else value for key, value in by.items() if value}
    settings = [{key: value for key, value in of_part.items() if value} for of_part in prescribed.settings]
    if not (prescribed.body_site or said or any(settings)):
        return scheduling
    return digest_of({"of": scheduling, "site": prescribed.body_site, "settings": settings, "by": said})


def _free_code(session: Session, clinic: Clinic, wanted: str) -> str:
    taken = treatment_codes(session, clinic.id or 0)
    wanted = wanted[:_LONGEST_CODE]
    code, n = wanted, 1
    while code in taken:
        n += 1
        code = f"{wanted}-{n}"
    return code
