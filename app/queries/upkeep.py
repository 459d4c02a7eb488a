"""What was done to units and items, read; and the units and items that there are."""

from sqlmodel import Session, col, select

from app.models import Applicator, ApplicatorVersion, Item, Unit, UnitVersion, Upkeep
from app.queries.current import current_version_ids


def upkeep_rows(session: Session, clinic_id: int) -> list[tuple[Upkeep, str | None]]:
    """All there ever was, oldest first, each with the code of its unit; None: of an item."""
    query = select(Upkeep, Unit.code).join(Unit, col(Unit.id) == Upkeep.unit_id, isouter=True)
    return list(session.exec(query.where(Upkeep.clinic_id == clinic_id).order_by(col(Upkeep.id))))


def units_in_use(session: Session, clinic_id: int) -> dict[str, tuple[int, str]]:
    """Id and name of each, by code, in the order of the set-up."""
    query = select(Unit.code, Unit.id, UnitVersion.name).join(UnitVersion, col(UnitVersion.unit_id) == Unit.id)
    query = query.where(col(UnitVersion.id).in_(current_version_ids(Unit, UnitVersion, "unit_id")))
    rows = session.exec(
        query.where(Unit.clinic_id == clinic_id, col(Unit.is_retired).is_(False)).order_by(col(Unit.id))
    )
    return {code: (id or 0, name) for code, id, name in rows}


def items_in_use(session: Session, clinic_id: int) -> dict[str, str]:
    """The name of its pool, by the code of each item, in the order of the set-up."""
    query = (
        select(Item.code, ApplicatorVersion.name)
        .join(ApplicatorVersion, col(ApplicatorVersion.id) == Item.applicator_version_id)
        .join(Applicator, col(Applicator.id) == ApplicatorVersion.applicator_id)
        .where(Applicator.clinic_id == clinic_id, col(Applicator.is_retired).is_(False))
        .where(col(ApplicatorVersion.id).in_(current_version_ids(Applicator, ApplicatorVersion, "applicator_id")))
        .order_by(col(Applicator.id), col(Item.position))
    )
    return dict(session.exec(query).all())
