"""The plans of a day: the current one, and the one before something was booked."""

from collections import defaultdict
from collections.abc import Collection
from typing import Any

from sqlalchemy import func
from sqlmodel import Session, col, select

from app.models import (
    Applicator,
    ApplicatorVersion,
    Bay,
    BookedVisit,
    Channel,
    ClinicDay,
    HeldChannel,
    HeldHands,
    HeldItem,
    Item,
    LeftOutVisit,
    PartPlaced,
    Place,
    PlaceVersion,
    PlannedBreak,
    SavedPlan,
    Staff,
    TreatmentPart,
    TreatmentPhase,
    Unit,
    VisitPlaced,
)
from solver.clock import clock
from solver.reading.plan_reader import PLAN_FORMAT, read_plan_value
from solver.schedule import PlacedVisit, Plan

Document = dict[str, Any]
_MOST_BACK = 20
"""So many plans are looked back to find where a visit was."""
_Key = tuple[int, int]
"""A visit's id and the number of a part of it."""


def current_plan(session: Session, row: ClinicDay) -> Plan | None:
    """The day's plan; None where none was saved."""
    saved = session.exec(
        select(SavedPlan).where(SavedPlan.day_id == row.id, col(SavedPlan.is_current).is_(True))
    ).first()
    return None if saved is None else _plan(session, row, saved)


def plan_without(session: Session, row: ClinicDay, codes: Collection[str]) -> Plan | None:
    """The newest of the day's plans that places none of these visits; None where each places one."""
    placing = (
        select(VisitPlaced.plan_id)
        .join(BookedVisit, col(BookedVisit.id) == VisitPlaced.visit_id)
        .where(BookedVisit.day_id == row.id, col(BookedVisit.code).in_(codes))
    )
    query = select(SavedPlan).where(SavedPlan.day_id == row.id, col(SavedPlan.id).not_in(placing))
    saved = session.exec(query.order_by(col(SavedPlan.version).desc())).first()
    return None if saved is None else _plan(session, row, saved)


def place_before(session: Session, day_id: int, code: str, now: PlacedVisit) -> PlacedVisit | None:
    """Where the newest plan of the day had the visit that had it elsewhere than now; None where none did."""
    query = select(SavedPlan).where(SavedPlan.day_id == day_id).order_by(col(SavedPlan.version).desc())
    day = session.exec(select(ClinicDay).where(ClinicDay.id == day_id)).one()
    plans = (_plan(session, day, saved) for saved in session.exec(query.limit(_MOST_BACK)).all())
    return next((placed for plan in plans for placed in plan.visits if placed.id == code and placed != now), None)


def _plan(session: Session, row: ClinicDay, saved: SavedPlan) -> Plan:
    assert saved.id is not None
    return read_plan_value(
        {
            "format": PLAN_FORMAT,
            "date": row.date.isoformat(),
            "status": saved.status,
            "visits": _visits(session, saved.id),
            "left_out": _left_out(session, saved.id),
            "breaks": _breaks(session, saved.id),
            "scores": saved.scores,
            "bounds": saved.bounds,
        }
    )


def _visits(session: Session, plan_id: int) -> list[Document]:
    parts = _parts(session, plan_id)
    query = (
        select(VisitPlaced.visit_id, BookedVisit.code, Staff.code)
        .join(BookedVisit, col(BookedVisit.id) == VisitPlaced.visit_id)
        .join(Staff, col(Staff.id) == VisitPlaced.therapist_id, isouter=True)
        .where(VisitPlaced.plan_id == plan_id)
        .order_by(col(VisitPlaced.position))
    )
    return [{"id": code, "therapist": staff, "parts": parts[id]} for id, code, staff in session.exec(query)]


def _parts(session: Session, plan_id: int) -> dict[int, list[Document]]:
    """The parts of each visit, by its id."""
    channels, items = _channels(session, plan_id), _items(session, plan_id)
    hands = _hands(session, plan_id)
    codes = _part_codes(session, plan_id)
    query = (
        select(PartPlaced, Unit.code, Place.code, Bay.code)
        .join(Unit, col(Unit.id) == PartPlaced.unit_id)
        .join(Bay, col(Bay.id) == PartPlaced.bay_id)
        .join(PlaceVersion, col(PlaceVersion.id) == Bay.place_version_id)
        .join(Place, col(Place.id) == PlaceVersion.place_id)
        .where(PartPlaced.plan_id == plan_id)
        .order_by(col(PartPlaced.part))
    )
    parts: dict[int, list[Document]] = defaultdict(list)
    for row, unit, place, bay in session.exec(query):
        key = (row.visit_id, row.part)
        parts[row.visit_id].append(
            {
                "id": codes[key],
                "start": clock(row.start_min),
                "unit": unit,
                "place": place,
                "bay": bay,
                "channels": channels[key],
                "items": items[key],
                "hands": hands[key],
            }
        )
    return parts


def _part_codes(session: Session, plan_id: int) -> dict[_Key, str]:
    query = (
        select(VisitPlaced.visit_id, TreatmentPart.part, TreatmentPart.code)
        .join(BookedVisit, col(BookedVisit.id) == VisitPlaced.visit_id)
        .join(TreatmentPart, col(TreatmentPart.treatment_version_id) == BookedVisit.treatment_version_id)
        .where(VisitPlaced.plan_id == plan_id)
    )
    return {(visit, part): code for visit, part, code in session.exec(query)}


def _channels(session: Session, plan_id: int) -> dict[_Key, dict[str, list[str]]]:
    held: dict[_Key, dict[str, list[str]]] = defaultdict(dict)
    query = select(HeldChannel, Channel.code).join(Channel, col(Channel.id) == HeldChannel.channel_id)
    query = query.where(HeldChannel.plan_id == plan_id).order_by(col(HeldChannel.position))
    for row, channel in session.exec(query):
        held[row.visit_id, row.part].setdefault(row.output, []).append(channel)
    return held


def _items(session: Session, plan_id: int) -> dict[_Key, dict[str, list[str]]]:
    held: dict[_Key, dict[str, list[str]]] = defaultdict(dict)
    query = (
        select(HeldItem, Applicator.code, Item.code)
        .join(Item, col(Item.id) == HeldItem.item_id)
        .join(ApplicatorVersion, col(ApplicatorVersion.id) == Item.applicator_version_id)
        .join(Applicator, col(Applicator.id) == ApplicatorVersion.applicator_id)
        .where(HeldItem.plan_id == plan_id)
        .order_by(col(HeldItem.position))
    )
    for row, pool, item in session.exec(query):
        held[row.visit_id, row.part].setdefault(pool, []).append(item)
    return held


def _hands(session: Session, plan_id: int) -> dict[_Key, list[str | None]]:
    """One entry a phase; None where it is in nobody's hands."""
    counted = (
        select(PartPlaced.visit_id, PartPlaced.part, func.count())
        .join(BookedVisit, col(BookedVisit.id) == PartPlaced.visit_id)
        .join(
            TreatmentPhase,
            (col(TreatmentPhase.treatment_version_id) == BookedVisit.treatment_version_id)
            & (col(TreatmentPhase.part) == PartPlaced.part),
        )
        .where(PartPlaced.plan_id == plan_id)
        .group_by(col(PartPlaced.visit_id), col(PartPlaced.part))
    )
    hands: dict[_Key, list[str | None]] = {
        (visit, part): [None] * phases for visit, part, phases in session.exec(counted)
    }
    query = select(HeldHands, Staff.code).join(Staff, col(Staff.id) == HeldHands.staff_id)
    for row, staff in session.exec(query.where(HeldHands.plan_id == plan_id)):
        hands[row.visit_id, row.part][row.phase] = staff
    return hands


def _left_out(session: Session, plan_id: int) -> list[Document]:
    query = select(LeftOutVisit, BookedVisit.code).join(BookedVisit, col(BookedVisit.id) == LeftOutVisit.visit_id)
    query = query.where(LeftOutVisit.plan_id == plan_id).order_by(col(LeftOutVisit.position))
    return [{"id": code, "reasons": row.reasons} for row, code in session.exec(query)]


def _breaks(session: Session, plan_id: int) -> list[Document]:
    query = select(PlannedBreak, Staff.code).join(Staff, col(Staff.id) == PlannedBreak.staff_id)
    query = query.where(PlannedBreak.plan_id == plan_id).order_by(col(PlannedBreak.position))
    return [
        {"staff": staff, "start": clock(row.start_min), "end": clock(row.end_min)} for row, staff in session.exec(query)
    ]
