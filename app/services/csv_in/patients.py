"""Patients from CSV: ``name``, and where it is known ``code``, ``phone``, ``note``.

A row with the code of a known patient changes what it gives and leaves what it leaves empty; one with a code that
nobody has makes a patient of that code; one without a code makes a patient with a code of chance, unless somebody of
that name is known.
"""

from collections.abc import Mapping
from typing import Any

from sqlmodel import Session

from app.db.folding import folded_words
from app.db.store import Store
from app.models import Patient
from app.queries.audits import add_audit
from app.queries.clinics import the_clinic
from app.queries.patients import codes_of_patients, patients_of_codes, patients_sought_as
from app.services.csv_in.preview import Preview, PreviewRow, digest_of_preview, refuse_if_other
from app.services.csv_in.reading import CsvRow, read_csv
from app.services.patients import free_code, put_texts, read_patient_texts
from app.services.treatments.form import read_text
from solver.errors import Fault, InputError
from solver.reading.faults import Faults

COLUMNS = ("name", "code", "phone", "note")
_TEXTS = ("name", "phone", "note")


def preview_patients(store: Store, content: bytes) -> Preview:
    """Raises InputError where the file cannot be read at all."""
    with store.reading() as session:
        return _preview(session, the_clinic(session).id or 0, content)


def bring_in_patients(store: Store, content: bytes, *, digest: str, actor: str) -> Preview:
    """Exactly what was previewed with this digest, or nothing.

    Raises InputError with the file's faults, and StaleRecordError where the file or the patients are others now.
    """
    with store.writing() as session:
        clinic_id = the_clinic(session, to_write=True).id or 0
        preview = _preview(session, clinic_id, content)
        refuse_if_other(preview, digest)
        taken = codes_of_patients(session, clinic_id) | {row.values["code"] for row in preview.rows}
        changing = [row for row in preview.rows if row.state == "changed"]
        known = patients_of_codes(session, clinic_id, [row.values["code"] for row in changing])
        for row in changing:
            put_texts(session, known[row.values["code"]], {key: row.values[key] for key in _TEXTS})
        new = [row for row in preview.rows if row.state == "new"]
        for row in new:
            code = row.values["code"] or free_code(taken)
            texts: dict[str, Any] = {key: row.values[key] for key in _TEXTS}
            session.add(Patient(clinic_id=clinic_id, code=code, **texts))
        session.flush()
        counts = {"new": len(new), "changed": len(changing)}
        add_audit(session, clinic_id, actor, "brought in", "patients from CSV", after=counts)
        return preview


def _preview(session: Session, clinic_id: int, content: bytes) -> Preview:
    table = read_csv(content, COLUMNS, ("name",))
    codes = [row.cells["code"] for row in table.rows if row.cells.get("code")]
    known = patients_of_codes(session, clinic_id, codes)
    names = patients_sought_as(session, clinic_id, (_sought(row) for row in table.rows))
    faults, rows = list(table.faults), []
    lines: dict[tuple[str, str], int] = {}
    for row in table.rows:
        code = row.cells.get("code", "")
        key = ("code", code) if code else ("name", _sought(row))
        wrong = _faults_of(row)
        if key in lines and key[1]:
            right = "take one of the two out" if code else "take one of the two out, or give each a code of its own"
            wrong.append(Fault(f"line {row.line}, {key[0]}", f"the same is on line {lines[key]}", right))
        lines.setdefault(key, row.line)
        patient = known.get(code)
        if patient is not None and not patient.name:
            what = "the data of this patient were removed on request"
            wrong.append(Fault(f"line {row.line}, code", what, "take the line out"))
        faults += wrong
        rows.append(_row(row, code, patient, code == "" and _sought(row) in names))
    shown = tuple(rows)
    return Preview(table.encoding, table.delimiter, shown, tuple(faults), digest_of_preview(content, shown))


def _row(row: CsvRow, code: str, patient: Patient | None, is_named_so: bool) -> PreviewRow:
    given = {key: row.cells.get(key, "") for key in _TEXTS}
    if patient is None:
        return PreviewRow(row.line, "same name" if is_named_so else "new", {"code": code, **given}, {})
    was: Mapping[str, str] = {key: getattr(patient, key) for key in _TEXTS}
    values = {key: given[key] or was[key] for key in _TEXTS}
    changes = {key: (was[key], values[key]) for key in _TEXTS if values[key] != was[key]}
    return PreviewRow(row.line, "changed" if changes else "same", {"code": code, **values}, changes)


def _faults_of(row: CsvRow) -> list[Fault]:
    where, faults = f"line {row.line}", Faults()
    try:
        read_patient_texts(row.cells["name"], row.cells.get("phone"), row.cells.get("note"))
    except InputError as error:
        found = [Fault(f"{where}, {fault.where}", fault.what, fault.right) for fault in error.faults]
    else:
        found = []
    read_text(faults, f"{where}, code", row.cells.get("code"))
    return [*found, *faults.found]


def _sought(row: CsvRow) -> str:
    return " ".join(folded_words(row.cells["name"]))
