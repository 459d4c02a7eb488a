"""Which treatment of the catalogue the visits of a day were booked with."""

from sqlmodel import Session, col, select

from app.models import BookedVisit, Treatment, TreatmentVersion
from app.queries.catalogue import FROM_FILE


def treatments_of_day(session: Session, day_id: int) -> dict[str, str]:
    """Codes of treatments by those of visits. A patient's own counts as the one that it was made from; a visit that
    came in a file, and is like none of the catalogue, is not in it."""
    query = select(BookedVisit.code, BookedVisit.treatment_version_id)
    version_of = dict(
        session.exec(query.where(BookedVisit.day_id == day_id, col(BookedVisit.is_removed).is_(False))).all()
    )
    found: dict[int, str] = {}
    asked = {version: version for version in version_of.values()}
    while asked:
        of = select(TreatmentVersion, Treatment).join(Treatment, col(Treatment.id) == TreatmentVersion.treatment_id)
        known = session.exec(of.where(col(TreatmentVersion.id).in_(set(asked.values())))).all()
        catalogue = {version.id: treatment.code for version, treatment in known if treatment.patient_id is None}
        base = {version.id: version.based_on_id for version, _ in known if version.id not in catalogue}
        found |= {first: catalogue[now] for first, now in asked.items() if now in catalogue}
        asked = {first: before for first, now in asked.items() if (before := base.get(now)) is not None}
    codes = {visit: found.get(version, FROM_FILE) for visit, version in version_of.items()}
    return {visit: code for visit, code in codes.items() if not code.startswith(FROM_FILE)}


def catalogue_names(session: Session, clinic_id: int) -> dict[str, str]:
    """Those of the treatments of the catalogue by their codes, retired ones too."""
    query = select(Treatment.code, Treatment.name).where(Treatment.clinic_id == clinic_id)
    query = query.where(col(Treatment.patient_id).is_(None), ~col(Treatment.code).startswith(FROM_FILE))
    return dict(session.exec(query).all())
