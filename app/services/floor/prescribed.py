"""What was prescribed for a visit: the treatment in the version that it was booked with."""

import datetime
from dataclasses import dataclass
from typing import Any

from app.db.store import Store
from app.models import Treatment, TreatmentVersion
from app.queries.catalogue import full_parts
from app.queries.clinics import the_clinic
from app.queries.visit_life import known_visit

Document = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Prescribed:
    """``parts``: as in a day file, with their settings. ``screening``: what was answered when the visit was booked."""

    code: str
    date: datetime.date
    treatment: str
    version: int
    body_site: str
    prescribed_by: str
    prescribed_on: datetime.date | None
    note: str
    parts: tuple[Document, ...]
    screening: str


def prescribed_for(store: Store, visit_id: int) -> Prescribed | None:
    """None where there is no such visit."""
    with store.reading() as session:
        known = known_visit(session, the_clinic(session).id or 0, visit_id)
        if known is None:
            return None
        version = session.get(TreatmentVersion, known.row.treatment_version_id)
        treatment = None if version is None else session.get(Treatment, version.treatment_id)
        assert version is not None
        assert treatment is not None
        return Prescribed(
            code=known.row.code,
            date=known.day.date,
            treatment=treatment.name,
            version=version.version,
            body_site=version.body_site,
            prescribed_by=version.prescribed_by,
            prescribed_on=version.prescribed_on,
            note=version.note,
            parts=tuple(full_parts(session, [version.id])[version.id or 0]),
            screening=known.row.screening,
        )
