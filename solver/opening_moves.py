"""What would let a visit in that finds no room in a plan: the smallest set of moves of others.

Smallest means: fewest visits moved; of those, fewest minutes between their starts before and after, in all. A visit
that keeps its start but changes unit, bay or staff is moved by 0 minutes. Breaks stay where they are.
"""

from collections.abc import Collection
from dataclasses import dataclass, replace
from time import monotonic

from solver.compose import explained, ledger_of, plan_of
from solver.errors import PlanRefusedError
from solver.offering.moving import Moving, Resettled
from solver.problem import Day
from solver.right_plan import refuse_if_wrong
from solver.schedule import PlacedVisit, Plan
from solver.verify import verify
from solver.visits import Visit

FIRST_SHARE = 0.5
"""The part of the time within which one move is looked for before two are."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """When (minutes from midnight) and where a visit's first part begins, and who its therapist is."""

    start: int
    unit: str
    place: str
    bay: str
    therapist: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """A visit of the plan that would move. ``minutes``: how much later its start is; negative: earlier."""

    id: str
    before: Spot
    after: Spot
    minutes: int


@dataclass(frozen=True, slots=True, kw_only=True)
class OpeningMoves:
    """``placed`` None: no moves were found. ``day`` has the visit; ``plan``, verified, has it and the moves.

    ``complete``: the moves are proved to be the smallest set or, with none found, it is proved that there is none of so
    many visits. Otherwise time ran out before that was known.
    """

    placed: PlacedVisit | None
    moves: tuple[Move, ...]
    day: Day
    plan: Plan | None
    complete: bool

    @property
    def minutes(self) -> int:
        """Minutes moved in all."""
        return sum(abs(move.minutes) for move in self.moves)


def opening_moves(
    day: Day,
    plan: Plan,
    visit: Visit,
    *,
    may_move: Collection[str] | None = None,
    most: int = 2,
    seconds: float = 2.0,
) -> OpeningMoves:
    """The smallest set of at most ``most`` visits to move so that the visit has an offer.

    ``may_move``: ids of visits that may move; None: those that are not fixed and that nobody was told of (the day's
    ``published``). What is fixed of a visit holds wherever it goes. The visit may be one of the day's; then it is asked
    about as in ``offers``. Where it has an offer as it is, the answer has no moves.
    Raises InputError with a fault for each broken rule where the plan is not right for the day.
    """
    refuse_if_wrong(day, plan)
    own = day.visit_by_id.get(visit.id)
    if own is not None and visit.fixed is None and own.fixed is not None:
        visit = replace(visit, fixed=own.fixed)
    whole = replace(day, visits=(*(other for other in day.visits if other.id != visit.id), visit))
    rest = replace(plan, visits=tuple(placed for placed in plan.visits if placed.id != visit.id))
    movable = [placed.id for placed in rest.visits if _may_move(day, placed.id, may_move)]
    end = monotonic() + seconds
    first_end = monotonic() + seconds * FIRST_SHARE
    ledger, complete = ledger_of(whole, rest), True
    for count in range(min(most, len(movable)) + 1):
        until = end if count == most else first_end
        moving = Moving(ledger, visit, lambda until=until: monotonic() > until)  # type: ignore[misc]
        complete = moving.of(movable, count) and complete
        if moving.best is not None:
            return _answer(whole, rest, visit, moving.best, complete)
    return OpeningMoves(placed=None, moves=(), day=whole, plan=None, complete=complete)


def _may_move(day: Day, id: str, may_move: Collection[str] | None) -> bool:
    if may_move is not None:
        return id in may_move
    return day.visit_by_id[id].fixed is None and id not in day.published_by_id


def _answer(day: Day, rest: Plan, visit: Visit, found: Resettled, complete: bool) -> OpeningMoves:
    before = {placed.id: placed for placed in rest.visits}
    numbers: dict[str, int] = {}
    breaks = {}
    for taken in rest.breaks:
        numbers[taken.staff] = numbers.get(taken.staff, -1) + 1
        breaks[taken.staff, numbers[taken.staff]] = taken
    plan = explained(day, plan_of(day, {**before, **found.placed}, breaks))
    breaches = verify(day, plan)
    if breaches:
        raise PlanRefusedError(str(breach) for breach in breaches)
    moves = [_move(before[id], after) for id, after in found.placed.items() if id != visit.id]
    moves.sort(key=lambda move: (move.before.start, move.id))
    return OpeningMoves(placed=found.placed[visit.id], moves=tuple(moves), day=day, plan=plan, complete=complete)


def _move(before: PlacedVisit, after: PlacedVisit) -> Move:
    was, now = _spot(before), _spot(after)
    return Move(id=before.id, before=was, after=now, minutes=now.start - was.start)


def _spot(placed: PlacedVisit) -> Spot:
    first = placed.parts[0]
    return Spot(start=first.start, unit=first.unit, place=first.place, bay=first.bay, therapist=placed.therapist)
