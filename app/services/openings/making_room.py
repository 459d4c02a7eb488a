"""What would let a visit in on a full day: the smallest set of moves of others. It is offered, and never done unasked.

First it is tried with those whom nobody has told yet, then with all who are not fixed: then patients must be called.
"""

import datetime
from collections.abc import Collection
from dataclasses import dataclass, replace

from app.clock import Clock
from app.queries.clinics import the_clinic
from app.queries.days import day_row
from app.queries.patients import names_of_codes
from app.queries.visit_life import statuses_of_day
from app.services.openings.asking import Asked
from app.services.openings.ready import ReadyDays
from app.services.openings.search import not_past
from app.services.visits.steps import BEGUN
from solver.clock import DAY_MIN, Interval
from solver.masks.bits import minutes_of
from solver.opening_moves import OpeningMoves, Spot, opening_moves
from solver.problem import Day
from solver.schedule import PlacedVisit
from solver.visits import Fixed, FixedPart, Visit

SECONDS = 2.0
MOST_MOVED = 2


@dataclass(frozen=True, slots=True)
class WouldMove:
    """``patient``: the name, for display only. ``told``: the patient knows of the start before and must be called.

    ``minutes``: how much later; negative: earlier; 0 where only the place or the hands change.
    """

    visit: str
    patient: str
    before: Spot
    after: Spot
    minutes: int
    told: bool
    placed: PlacedVisit


@dataclass(frozen=True, slots=True)
class Room:
    """``placed`` None: no such moves were found. ``complete``: proved, else the time ran out."""

    date: datetime.date
    version: int
    placed: PlacedVisit | None
    moves: tuple[WouldMove, ...]
    complete: bool


def make_room(
    ready: ReadyDays,
    asked: Asked,
    date: datetime.date,
    *,
    clock: Clock,
    start: int | None = None,
    seconds: float = SECONDS,
) -> Room | None:
    """The smallest moves that let the visit in on the date, or at that minute of it; None: it cannot be booked on.

    Whoever is there, was treated or did not come stays, and so does what has begun by the clock; nothing moves to what
    is past.
    """
    ready_day = ready.on(date)
    visit = asked.on(ready_day.day) if ready_day.day is not None and ready_day.loaded is not None else None
    if visit is None or ready_day.day is None or ready_day.plan is None:
        return None
    if start is not None:
        visit = replace(visit, fixed=Fixed(parts=(FixedPart(start=start),)))
    now = _now(date, clock)
    begun = _begun(ready, date) | {one.id for one in ready_day.plan.visits if one.parts[0].start < now}
    free = [one.id for one in ready_day.day.visits if one.fixed is None and one.id not in begun]
    day, visit = _from(now, ready_day.day, free), _later(visit, now, ready_day.day)
    if visit is None:
        return Room(date, ready_day.version, None, (), True)
    untold = [id for id in free if id not in day.published_by_id]
    found = opening_moves(day, ready_day.plan, visit, may_move=untold, most=MOST_MOVED, seconds=seconds / 2)
    if found.placed is None:
        found = opening_moves(day, ready_day.plan, visit, may_move=free, most=MOST_MOVED, seconds=seconds / 2)
    return _room(ready, ready_day.version, date, found)


def _now(date: datetime.date, clock: Clock) -> int:
    """The first minute of the date that is not past; DAY_MIN where all of it is."""
    return next(minutes_of(not_past(date, clock)), DAY_MIN)


def _begun(ready: ReadyDays, date: datetime.date) -> set[str]:
    with ready.store.reading() as session:
        row = day_row(session, the_clinic(session).id or 0, date)
        statuses = {} if row is None else statuses_of_day(session, row.id or 0)
    return {code for code, status in statuses.items() if status in BEGUN}


def _from(now: int, day: Day, free: Collection[str]) -> Day:
    """The day in which those who may move do so to what is not past only."""
    if now <= day.open:
        return day
    moving = {id: _later(day.visit_by_id[id], now, day) for id in free}
    return replace(day, visits=tuple(moving.get(one.id) or one for one in day.visits))


def _later(visit: Visit, now: int, day: Day) -> Visit | None:
    """The visit, free from then on only; None where it is not."""
    if now <= day.open:
        return visit
    times = visit.free or (Interval(day.open, day.close),)
    left = tuple(Interval(max(start, now), end) for start, end in times if end > now)
    return replace(visit, free=left) if left else None


def _room(ready: ReadyDays, version: int, date: datetime.date, found: OpeningMoves) -> Room:
    if found.placed is None or found.plan is None:
        return Room(date, version, None, (), found.complete)
    day, placed = found.day, {one.id: one for one in found.plan.visits}
    patients = {move.id: day.visit_by_id[move.id].patient for move in found.moves}
    with ready.store.reading() as session:
        names = names_of_codes(session, the_clinic(session).id or 0, list(set(patients.values())))
    moves = tuple(
        WouldMove(
            visit=move.id,
            patient=names.get(patients[move.id], patients[move.id]),
            before=move.before,
            after=move.after,
            minutes=move.minutes,
            told=move.id in day.published_by_id,
            placed=placed[move.id],
        )
        for move in found.moves
    )
    return Room(date, version, found.placed, moves, found.complete)
