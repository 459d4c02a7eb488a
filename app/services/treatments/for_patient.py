"""A clinician's own parameters for one patient: a treatment made from one of the catalogue, in no list but theirs."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from app.db.store import Store
from app.models import Treatment
from app.queries.audits import add_audit
from app.queries.catalogue import current_versions, is_patient, treatment_codes, version_row
from app.queries.clinics import the_clinic
from app.services.treatments.catalogue import TreatmentLine, lines_of, read_version, treatment_meant
from app.services.treatments.form import read_text
from app.services.treatments.writing import add_first_version, audit_change, change_to, not_stale, read_for
from solver.errors import Fault, InputError
from solver.reading.faults import Faults


def set_for_patient(
    store: Store,
    patient_id: int,
    treatment_id: int,
    form: Mapping[str, Any],
    *,
    prescribed_by: str,
    prescribed_on: date,
    note: str = "",
    actor: str,
) -> int:
    """A treatment of the patient's own, from the form; its id. ``treatment_id``: the one of the catalogue it is from.

    Raises InputError with every fault of the form (see ``form.py``), or where there is no such patient or treatment.
    """
    with store.writing() as session:
        clinic = the_clinic(session, to_write=True)
        clinic_id = clinic.id or 0
        base = treatment_meant(session, clinic_id, treatment_id)
        if base.patient_id is not None and base.patient_id != patient_id:
            raise InputError([Fault("treatment", "it is another patient's own", "choose one of the catalogue")])
        if not is_patient(session, clinic_id, patient_id):
            raise InputError([Fault("patient", "there is no such patient", "choose one of the list")])
        by = _by(prescribed_by, prescribed_on, note)
        by["based_on_id"] = version_row(session, base.id, base.version).id
        prescribed = read_for(session, clinic, form)
        taken, n = treatment_codes(session, clinic_id), 1
        while f"patient-{patient_id}-{n}" in taken:
            n += 1
        code = f"patient-{patient_id}-{n}"
        treatment = Treatment(clinic_id=clinic_id, code=code, name=prescribed.name, patient_id=patient_id)
        add_first_version(session, clinic, treatment, prescribed, by)
        said = {"patient": patient_id, "based on treatment": base.id, "version": 1}
        add_audit(session, clinic_id, actor, "made", f"treatment {treatment.id}", after=said)
        return treatment.id or 0


def change_for_patient(
    store: Store,
    treatment_id: int,
    form: Mapping[str, Any],
    *,
    read: int,
    prescribed_by: str,
    prescribed_on: date,
    note: str = "",
    actor: str,
) -> int:
    """The version that the patient gets from now on. ``read``: the edition that was read.

    Raises InputError with every fault, and StaleRecordError where the treatment was changed since.
    """
    with store.writing() as session:
        clinic = the_clinic(session, to_write=True)
        treatment = not_stale(session, clinic, treatment_id, read)
        if treatment.patient_id is None:
            raise InputError([Fault("treatment", "it is one of the catalogue", "choose a patient's own")])
        was = read_version(session, treatment, version_row(session, treatment.id, treatment.version))
        by = {**_by(prescribed_by, prescribed_on, note), "based_on_id": was.based_on_id}
        change_to(session, clinic, treatment, read_for(session, clinic, form), by)
        if treatment.edition != read:
            audit_change(session, clinic, treatment, actor, was.version, {}, {}, [])
        return treatment.version


def treatments_of_patient(store: Store, patient_id: int) -> list[TreatmentLine]:
    """The patient's own treatments, by name."""
    with store.reading() as session:
        return lines_of(session, current_versions(session, the_clinic(session).id or 0, patient_id))


def _by(prescribed_by: str, prescribed_on: date, note: str) -> dict[str, Any]:
    faults = Faults()
    by = {
        "prescribed_by": read_text(faults, "prescribed_by", prescribed_by, needed="the prescriber's name"),
        "prescribed_on": prescribed_on,
        "note": read_text(faults, "note", note),
    }
    faults.refuse_if_any()
    return by
