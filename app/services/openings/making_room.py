"""What would let a visit in on a full day: the smallest set of moves of others. It is offered, and never done unasked.

First it is tried with those whom nobody has told yet, then with all who are not fixed: then patients must be called.
"""

import datetime
from dataclasses import dataclass, replace

from app.queries.clinics import the_clinic
from app.queries.patients import names_of_codes
from app.services.openings.asking import Asked
from app.services.openings.ready import ReadyDays
from solver.opening_moves import OpeningMoves, Spot, opening_moves
from solver.schedule import PlacedVisit
from solver.visits import Fixed, FixedPart

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
    ready: ReadyDays, asked: Asked, date: datetime.date, *, start: int | None = None, seconds: float = SECONDS
) -> Room | None:
    """The smallest moves that let the visit in on the date, or at that minute of it; None: it cannot be booked on."""
    day = ready.on(date)
    visit = asked.on(day.day) if day.day is not None and day.loaded is not None else None
    if visit is None or day.day is None or day.plan is None:
        return None
    if start is not None:
        visit = replace(visit, fixed=Fixed(parts=(FixedPart(start=start),)))
    found = opening_moves(day.day, day.plan, visit, most=MOST_MOVED, seconds=seconds / 2)
    if found.placed is None:
        free = [one.id for one in day.day.visits if one.fixed is None]
        found = opening_moves(day.day, day.plan, visit, may_move=free, most=MOST_MOVED, seconds=seconds / 2)
    return _room(ready, day.version, date, found)


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
