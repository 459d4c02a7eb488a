"""What things are called, by their codes: also those that were retired, since past days have them."""

from typing import Any

from sqlmodel import Session, select

from app.models import Applicator, ApplicatorVersion, Place, PlaceVersion, Staff, StaffVersion, Unit, UnitVersion
from app.queries.booked_treatments import catalogue_names
from app.queries.current import current_version_ids

_KINDS: dict[str, tuple[Any, Any, str]] = {
    "units": (Unit, UnitVersion, "unit_id"),
    "applicators": (Applicator, ApplicatorVersion, "applicator_id"),
    "places": (Place, PlaceVersion, "place_id"),
    "staff": (Staff, StaffVersion, "staff_id"),
}


def newest_names(session: Session, clinic_id: int) -> dict[str, dict[str, str]]:
    """The name that every unit, applicator, place, member of the staff and treatment of the catalogue has now, by kind
    and code."""
    names = {kind: _names(session, clinic_id, *of) for kind, of in _KINDS.items()}
    return {**names, "treatments": catalogue_names(session, clinic_id)}


def _names(session: Session, clinic_id: int, head: Any, version: Any, key: str) -> dict[str, str]:
    query = select(head.code, version.name).join(version, getattr(version, key) == head.id)
    query = query.where(head.clinic_id == clinic_id, version.id.in_(current_version_ids(head, version, key)))
    return dict(session.exec(query).all())
