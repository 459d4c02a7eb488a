"""Treatments as they are prescribed: in the catalogue, and for one patient."""

import datetime
from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import Any

from sqlmodel import Session, col, select

from app.models import (
    Applicator,
    BookedVisit,
    ClinicDay,
    Patient,
    Treatment,
    TreatmentPart,
    TreatmentVersion,
    Unit,
    UnitVersion,
)
from app.models.channel import Channel
from app.queries.treatments import parts_of_versions

Document = dict[str, Any]
SETTINGS = ("mode", "duty", "intensity_low", "intensity_high", "intensity_unit", "placement", "preparation")
"""Columns of a part that no day file has."""
FROM_FILE = "from-file-"
"""Begins the code of a treatment that was made of a day file's visit, and that nobody named."""


def current_versions(
    session: Session, clinic_id: int, patient_id: int | None, *, retired: bool = False
) -> list[tuple[Treatment, TreatmentVersion]]:
    """The catalogue by name, or a patient's own treatments; each with the version that is prescribed from now on."""
    query = (
        select(Treatment, TreatmentVersion)
        .join(TreatmentVersion, col(TreatmentVersion.treatment_id) == Treatment.id)
        .where(Treatment.clinic_id == clinic_id, TreatmentVersion.version == Treatment.version)
        .where(col(Treatment.patient_id) == patient_id if patient_id else col(Treatment.patient_id).is_(None))
        .where(~col(Treatment.code).startswith(FROM_FILE))
        .order_by(col(Treatment.name), col(Treatment.id))
    )
    if not retired:
        query = query.where(col(Treatment.is_retired).is_(False))
    return list(session.exec(query))


def treatment_row(session: Session, clinic_id: int, treatment_id: int) -> Treatment | None:
    return session.exec(select(Treatment).where(Treatment.clinic_id == clinic_id, Treatment.id == treatment_id)).first()


def version_row(session: Session, treatment_id: int | None, version: int) -> TreatmentVersion:
    of_treatment = TreatmentVersion.treatment_id == treatment_id
    return session.exec(select(TreatmentVersion).where(of_treatment, TreatmentVersion.version == version)).one()


def full_parts(session: Session, version_ids: Iterable[int | None]) -> Mapping[int, list[Document]]:
    """The parts of the versions as in a day file, with their settings."""
    ids = [id for id in version_ids if id is not None]
    parts = parts_of_versions(session, ids)
    settings: dict[int, list[Document]] = defaultdict(list)
    query = select(TreatmentPart).where(col(TreatmentPart.treatment_version_id).in_(ids))
    for row in session.exec(query.order_by(col(TreatmentPart.part))):
        settings[row.treatment_version_id].append({key: getattr(row, key) for key in SETTINGS})
    return {id: [{**part, **more} for part, more in zip(parts[id], settings[id], strict=True)] for id in settings}


def version_with_digest(session: Session, treatment_id: int, digest: str) -> TreatmentVersion | None:
    same = (TreatmentVersion.treatment_id == treatment_id, TreatmentVersion.digest == digest)
    return session.exec(select(TreatmentVersion).where(*same)).first()


def count_of_versions(session: Session, treatment_id: int) -> int:
    return len(session.exec(select(TreatmentVersion.id).where(TreatmentVersion.treatment_id == treatment_id)).all())


def treatment_codes(session: Session, clinic_id: int) -> set[str]:
    return set(session.exec(select(Treatment.code).where(Treatment.clinic_id == clinic_id)))


def visits_of_other_versions(
    session: Session, treatment: Treatment, since: datetime.date
) -> list[tuple[datetime.date, str, int]]:
    """Date, visit's code and version of those from that date on that were booked with another than the current."""
    query = (
        select(ClinicDay, BookedVisit.code, TreatmentVersion.version)
        .join(BookedVisit, col(BookedVisit.day_id) == ClinicDay.id)
        .join(TreatmentVersion, col(TreatmentVersion.id) == BookedVisit.treatment_version_id)
        .where(TreatmentVersion.treatment_id == treatment.id, TreatmentVersion.version != treatment.version)
        .where(ClinicDay.date >= since, col(BookedVisit.is_removed).is_(False))
        .order_by(col(ClinicDay.date), col(BookedVisit.position))
    )
    return [(day.date, code, version) for day, code, version in session.exec(query)]


def used_texts(session: Session, clinic_id: int) -> Mapping[str, list[str]]:
    """What stands in the catalogue by now, by field, to be suggested: nothing of one patient's own treatments."""
    own = select(TreatmentVersion.id).join(Treatment, col(Treatment.id) == TreatmentVersion.treatment_id)
    own = own.where(Treatment.clinic_id == clinic_id, col(Treatment.patient_id).is_(None))
    sites = select(TreatmentVersion.body_site).where(col(TreatmentVersion.id).in_(own)).distinct()
    found = {"body_site": sorted(site for site in session.exec(sites) if site)}
    for key in ("mode", "duty", "intensity_unit", "placement"):
        texts = select(getattr(TreatmentPart, key)).where(col(TreatmentPart.treatment_version_id).in_(own)).distinct()
        found[key] = sorted(text for text in session.exec(texts) if text)
    return found


def outputs_of(session: Session, clinic_id: int) -> list[str]:
    """What any channel of the clinic drives, or ever drove."""
    query = select(Channel.drives).join(UnitVersion, col(UnitVersion.id) == Channel.unit_version_id)
    query = query.join(Unit, col(Unit.id) == UnitVersion.unit_id).where(Unit.clinic_id == clinic_id)
    return sorted({output for drives in session.exec(query) for output in drives})


def codes_in_use(session: Session, kind: type[Unit] | type[Applicator], clinic_id: int) -> frozenset[str]:
    query = select(kind.code).where(kind.clinic_id == clinic_id, col(kind.is_retired).is_(False))
    return frozenset(session.exec(query))


def is_patient(session: Session, clinic_id: int, patient_id: int) -> bool:
    here = (Patient.clinic_id == clinic_id, Patient.id == patient_id)
    return session.exec(select(Patient.id).where(*here)).first() is not None
