"""Codes, which day files call ids, to the ids of rows."""

import json
from collections.abc import Iterable, Mapping
from hashlib import sha256
from typing import Any

from sqlmodel import Session, select

from app.models import Applicator, Patient, Place, Staff, Unit

_Coded = type[Applicator] | type[Place] | type[Staff] | type[Unit]


def ids_of(session: Session, kind: _Coded, clinic_id: int, codes: Iterable[str] = ()) -> dict[str, int]:
    """Every code of the kind in the clinic with its id; rows are made for those of ``codes`` that are new."""
    known = dict(session.exec(select(kind.code, kind.id).where(kind.clinic_id == clinic_id)).all())
    missing = [code for code in codes if code not in known]
    if missing:
        rows = [kind(clinic_id=clinic_id, code=code) for code in missing]
        session.add_all(rows)
        session.flush()
        known |= {row.code: row.id for row in rows}
    return {code: id for code, id in known.items() if id is not None}


def patient_ids(session: Session, clinic_id: int, codes: Iterable[str]) -> dict[str, int]:
    """The ids of the patients of these codes; a patient who is new gets a row, named by the code."""
    wanted = dict.fromkeys(codes)
    rows = session.exec(select(Patient).where(Patient.clinic_id == clinic_id)).all() if wanted else ()
    known = {row.code: row for row in rows if row.code in wanted}
    new = [Patient(clinic_id=clinic_id, code=code, name=code) for code in wanted if code not in known]
    session.add_all(new)
    session.flush()
    return {row.code: row.id for row in (*known.values(), *new) if row.id is not None}


def digest_of(document: Mapping[str, Any]) -> str:
    """The same for two documents if they are the same in everything, the order of their keys too."""
    return sha256(json.dumps(document, ensure_ascii=False).encode("utf-8", "surrogatepass")).hexdigest()
