"""A plan of a day, written as the day's current one; the one before it stays, and holds nothing any more."""

from collections.abc import Mapping, Sequence
from typing import Any

from sqlalchemy import insert, update
from sqlmodel import Session, SQLModel, col

from app.models import (
    ClinicDay,
    HeldChannel,
    HeldHands,
    HeldItem,
    LeftOutVisit,
    PartPlaced,
    PlannedBreak,
    SavedPlan,
    VisitPlaced,
)
from app.models.columns import now
from app.queries.held_ids import HeldIds, held_ids
from solver.problem import Day
from solver.schedule import PlacedPart, PlacedVisit, Plan
from solver.visits import Part

Row = dict[str, Any]


def write_plan(session: Session, row: ClinicDay, day: Day, plan: Plan) -> None:
    """Make the plan, which the verifier has passed, the current one of the day, under the day's version."""
    assert row.id is not None
    current = (col(SavedPlan.day_id) == row.id, col(SavedPlan.is_current).is_(True))
    session.connection().execute(update(SavedPlan).where(*current).values(is_current=False))
    saved = SavedPlan(
        day_id=row.id,
        version=row.version,
        is_current=True,
        status=plan.status,
        scores=dict(plan.scores.items()),
        bounds=dict(plan.bounds.items()),
        saved_at=now(),
    )
    session.add(saved)
    session.flush()
    assert saved.id is not None
    ids = held_ids(session, row.id)
    key = {"plan_id": saved.id, "day_id": row.id, "is_current": True}
    rows = _Rows(key, ids)
    for position, placed in enumerate(plan.visits):
        rows.add_visit(position, placed, day.visit_by_id[placed.id].parts)
    for table in (VisitPlaced, PartPlaced, HeldChannel, HeldItem, HeldHands):
        _insert(session, table, rows.of[table])
    breaks = [
        {**key, "position": i, "staff_id": ids.staff[taken.staff], "start_min": taken.start, "end_min": taken.end}
        for i, taken in enumerate(plan.breaks)
    ]
    left_out = [
        {
            "plan_id": saved.id,
            "visit_id": ids.visits[left.id],
            "position": i,
            "reasons": [{"rule": reason.rule, "text": reason.text} for reason in left.reasons],
        }
        for i, left in enumerate(plan.left_out)
    ]
    _insert(session, PlannedBreak, breaks)
    _insert(session, LeftOutVisit, left_out)


def _insert(session: Session, table: type[SQLModel], rows: Sequence[Row]) -> None:
    if rows:
        session.connection().execute(insert(table), rows)


class _Rows:
    """The rows of placed visits, by table."""

    def __init__(self, key: Mapping[str, Any], ids: HeldIds) -> None:
        self._key = key
        self._ids = ids
        self.of: dict[type[SQLModel], list[Row]] = {
            VisitPlaced: [], PartPlaced: [], HeldChannel: [], HeldItem: [], HeldHands: []
        }  # fmt: skip

    def add_visit(self, position: int, placed: PlacedVisit, parts: Sequence[Part]) -> None:
        key = {**self._key, "visit_id": self._ids.visits[placed.id]}
        therapist = None if placed.therapist is None else self._ids.staff[placed.therapist]
        self.of[VisitPlaced].append({**key, "position": position, "therapist_id": therapist})
        for number, (part, given) in enumerate(zip(parts, placed.parts, strict=True)):
            self._add_part({**key, "part": number}, part, given)

    def _add_part(self, key: Row, part: Part, given: PlacedPart) -> None:
        span = {"start_min": given.start, "end_min": given.start + part.minutes}
        unit, bay = self._ids.units[given.unit], self._ids.bays[given.bay]
        self.of[PartPlaced].append({**key, **span, "unit_id": unit, "bay_id": bay})
        channels = [(output, id) for output, ids in given.channels.items() for id in ids]
        self.of[HeldChannel] += [
            {**key, **span, "position": i, "output": output, "channel_id": self._ids.channels[given.unit, id]}
            for i, (output, id) in enumerate(channels)
        ]
        items = [(pool, id) for pool, ids in given.items.items() for id in ids]
        self.of[HeldItem] += [
            {**key, **span, "position": i, "item_id": self._ids.items[pool, id]} for i, (pool, id) in enumerate(items)
        ]
        phases = zip(part.phases_at(given.start), given.hands, strict=True)
        self.of[HeldHands] += [
            {**key, "phase": i, "staff_id": self._ids.staff[who], "start_min": when.start, "end_min": when.end}
            for i, ((_, when), who) in enumerate(phases)
            if who is not None
        ]
