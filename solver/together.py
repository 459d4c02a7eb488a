"""Where two visits can be added to a plan so that they run at the same time: a couple, a parent and a child."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from time import monotonic

from solver.aims import Costs, costs_of
from solver.compose import ledger_of
from solver.errors import Fault, refuse_if
from solver.masks.bits import minutes_of, span
from solver.masks.ledger import Ledger
from solver.offering.drained import drained, hopeless, last_openings, ways_before
from solver.offering.every_way import EveryWay
from solver.offering.openings import Openings
from solver.offering.preference import Preference
from solver.outline import outline_of
from solver.problem import Day
from solver.right_plan import refuse_if_wrong
from solver.schedule import PlacedVisit, Plan
from solver.visits import Visit


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """Where both could be. ``costs``: what they add to the day's aims, in their order."""

    first: PlacedVisit
    second: PlacedVisit
    costs: Costs

    @property
    def start(self) -> int:
        """The first visit's start, minutes from midnight."""
        return self.first.parts[0].start


@dataclass(frozen=True, slots=True)
class Pairs:
    """``found``: by time. ``is_all``: every start was tried to its end; else there may be more pairs, and better ones
    at the start that was tried last."""

    found: tuple[Pair, ...]
    is_all: bool


def together(
    day: Day,
    plan: Plan,
    first: Visit,
    second: Visit,
    *,
    seconds: float,
    within: int = 0,
    same_unit: bool = False,
    now: Callable[[], float] = monotonic,
) -> Pairs:
    """For each start of the first visit at which both can be added with nothing else changed, the best pair, by time.

    Side by side: the second starts at most ``within`` minutes before or after the first, anywhere. With ``same_unit``
    also every part of both is on one unit, and the later one starts before the minutes of the earlier one's parts,
    without waits, are over. Everything else is as the day's rules have it: they have each a bay of their own, as any
    two visits. The best pair adds least to the day's aims, in their order (``finish``: the later end counts).
    ``seconds``: after which nothing more is tried; ``now``: by whose clock.
    The visits are asked about as in ``offers``, and are two visits of different patients.
    Raises InputError where they are not, or where the plan is not right for the day.
    """
    end = now() + seconds
    refuse_if(list(_faults(first, second, within)))
    refuse_if_wrong(day, plan)
    first, second = _with_fixed(day, first), _with_fixed(day, second)
    ids = {first.id, second.id}
    whole = replace(day, visits=(*(other for other in day.visits if other.id not in ids), first, second))
    rest = replace(plan, visits=tuple(placed for placed in plan.visits if placed.id not in ids))
    search = _Together(ledger_of(whole, rest), first, second, within, same_unit, lambda: now() >= end)
    found = tuple(search.pairs())
    return Pairs(found, not search.was_cut)


def _faults(first: Visit, second: Visit, within: int) -> Iterator[Fault]:
    if first.id == second.id:
        yield Fault("second.id", f"{second.id!r} is the first visit's id too", "give two visits")
    if first.patient == second.patient:
        yield Fault("second.patient", "it is the first visit's patient too", "give visits of two patients")
    if within < 0:
        yield Fault("within", f"{within} is negative", "give minutes from 0")


def _with_fixed(day: Day, visit: Visit) -> Visit:
    own = day.visit_by_id.get(visit.id)
    return replace(visit, fixed=own.fixed) if own is not None and visit.fixed is None else visit


class _Together:
    def __init__(
        self,
        ledger: Ledger,
        first: Visit,
        second: Visit,
        within: int,
        same_unit: bool,
        is_over: Callable[[], bool],
    ) -> None:
        self.ledger = ledger
        self.day = ledger.day
        self.first = first
        self.second = second
        self.within = within
        self.same_unit = same_unit
        self.was_cut = False
        self._is_over = is_over
        self._finish = self.day.aims.index("finish") if "finish" in self.day.aims else -1
        self._second_on = {unit.id: _on_unit(second, unit.id) for unit in self.day.units}

    def pairs(self) -> Iterator[Pair]:
        ways = ways_before(self.ledger, self.first, [self.second])
        may = EveryWay(self.ledger, self.second, 0).possible()
        for start in minutes_of(ways.possible()):
            wanted = may & self._beside(start)
            best = self._best(ways, start, wanted) if wanted and not self._over() else None
            if best is not None:
                yield best
            if self.was_cut:
                return

    def _over(self) -> bool:
        self.was_cut = self.was_cut or self._is_over()
        return self.was_cut

    def _beside(self, start: int) -> int:
        """The second visit's starts that are together with this one of the first."""
        beside = span(start - self.within, start + self.within + 1)
        if self.same_unit:
            beside &= span(start - self.second.minutes + 1, start + self.first.minutes)
        return beside

    def _best(self, ways: EveryWay, start: int, wanted: int) -> Pair | None:
        best: Pair | None = None
        least = self._least(wanted)

        def worth(costs: Costs) -> bool:
            return not self._over() and (best is None or self._both(costs, least) < best.costs)

        def keeps(bare: PlacedVisit) -> bool:
            if self._over():
                return False
            with self._beside_first(bare) as openings:
                return openings is not None and openings.possible() & wanted != 0

        for placed in ways.at(start, worth, keeps):
            own = costs_of(self.day, self.first, outline_of(self.first, placed))
            if not worth(own):
                continue
            with self._beside_first(placed) as openings:
                starts = minutes_of(openings.possible() & wanted) if openings is not None else ()
                seconds = [openings.best(minute) for minute in starts] if openings is not None else []
            for second in seconds:
                if second is not None:
                    costs = self._both(own, costs_of(self.day, self.second, outline_of(self.second, second)))
                    if best is None or costs < best.costs:
                        best = Pair(first=placed, second=second, costs=costs)
        return best

    @contextmanager
    def _beside_first(self, first: PlacedVisit) -> Iterator[Openings | None]:
        """Where the second visit can be beside the first; None: nowhere."""
        units = {part.unit for part in first.parts}
        second = self.second if not self.same_unit else None
        if self.same_unit and len(units) == 1:
            second = self._second_on[next(iter(units))]
        self.ledger.add(first)
        try:
            lost = second is None or hopeless(self.ledger, drained(self.ledger))
            yield None if lost or second is None else last_openings(self.ledger, second)
        finally:
            self.ledger.remove(first.id)

    def _both(self, first: Costs, second: Costs) -> Costs:
        """What both add to the aims: the sums, and the later finish."""
        return tuple(
            max(one, other) if index == self._finish else one + other
            for index, (one, other) in enumerate(zip(first, second, strict=True))
        )

    def _least(self, wanted: int) -> Costs:
        """For each aim by itself, no more than the second visit adds from any of the wanted starts."""
        preference, length = Preference(self.day, self.second), self.second.minutes
        members = self.ledger.shape_of(self.second).therapists
        each = [
            preference.costs(start, length, member, told)
            for start in minutes_of(wanted)
            for member in members
            for told in (True, False)
        ]
        return tuple(min(costs) for costs in zip(*each, strict=True))


def _on_unit(visit: Visit, unit: str) -> Visit | None:
    """The visit with all its parts on the unit; None where some part may not be there."""
    if any(part.units is not None and unit not in part.units for part in visit.parts):
        return None
    return replace(visit, parts=tuple(replace(part, units=(unit,)) for part in visit.parts))
