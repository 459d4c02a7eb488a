"""Why a visit cannot start at a wished minute in a plan, and where near it could.

**Which obstacles are named.** A start may fail in as many ways as there are choices of waits, unit, place, bay,
channels, items and staff. Named are all the obstacles of one choice: the one with the fewest that no visit is to blame
for (opening hours, skills, breaks …), then the fewest in all, then the fewest visits. An obstacle names every visit
that holds its resource at the minutes wanted.

**In which sense they are true.** With the visits named taken off the plan, no obstacle of visits with that rule and
that resource is left. Where another choice comes up then that is held back at the same resource by further visits,
these are named too. Nothing is named exactly where the start is an offer.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace

from solver.clock import DAY_MIN, Interval, clock
from solver.masks.bits import minutes_of, span
from solver.masks.ledger import Ledger
from solver.offering.loaded import LoadedPlan
from solver.offering.obstacle import Obstacle, Obstacles, by_visits, in_vain
from solver.offering.obstacles import obstacles, tying_rule
from solver.offering.openings import Openings
from solver.problem import Day
from solver.schedule import PlacedVisit, Plan
from solver.visits import Visit

MOST_NEAREST = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class WhyNot:
    """``reasons`` is empty exactly where the visit fits; ``nearest``: offers, the closest to the start first."""

    fits: bool
    reasons: tuple[Obstacle, ...]
    nearest: tuple[PlacedVisit, ...]


def whynot(day: Day, plan: Plan, visit: Visit, start: int) -> WhyNot:
    """Why the visit cannot start at this minute (from midnight). Raises InputError as ``offers`` does."""
    return whynot_in(LoadedPlan(day, plan), visit, start)


def whynot_in(loaded: LoadedPlan, visit: Visit, start: int) -> WhyNot:
    """The same for a plan that is loaded."""
    with loaded.without(visit) as openings:
        possible = openings.possible()
        near = (openings.best(minute) for minute in _nearest(possible, start))
        fits = bool(possible >> start & 1)
        return WhyNot(
            fits=fits,
            reasons=() if fits else _Blame(openings.ledger, openings.visit, openings.wanting, start).reasons(),
            nearest=tuple(placed for placed in near if placed is not None),
        )


def _nearest(possible: int, start: int) -> list[int]:
    """The closest starts, the closest of all first, with one on either side where there is one."""
    before = list(minutes_of(possible & span(0, start + 1)))[-MOST_NEAREST:]
    after = list(minutes_of(possible & span(start + 1, DAY_MIN)))[:MOST_NEAREST]
    ranked = sorted([*before, *after], key=lambda minute: (abs(minute - start), minute))
    chosen = [*before[-1:], *after[:1]]
    chosen += [minute for minute in ranked if minute not in chosen]
    return sorted(chosen[:MOST_NEAREST], key=lambda minute: (abs(minute - start), minute))


class _Blame:
    """The obstacles of one visit at one start that is no offer."""

    def __init__(self, ledger: Ledger, visit: Visit, wanting: frozenset[str], start: int) -> None:
        self.ledger = ledger
        self.visit = visit
        self.wanting = wanting
        self.start = start

    def reasons(self) -> Obstacles:
        return tuple(self._with_all(each) if each.held_by else each for each in self._plain())

    def _plain(self) -> Obstacles:
        """The obstacles of the choice with the fewest; none where the start is an offer."""
        if self._fits():
            return ()
        return obstacles(self.ledger, self.visit, self.start) or (self._tied(),)

    def _fits(self) -> bool:
        return Openings(self.ledger, self.visit, wanting=self.wanting).best(self.start) is not None

    def _with_all(self, named: Obstacle) -> Obstacle:
        """The obstacle with every visit that must go before its rule has nothing more to say of its resource."""
        while True:
            with self._gone(named.held_by) as left:
                more = [
                    each
                    for each in left._plain()
                    if each.held_by and (each.rule, each.resource) == (named.rule, named.resource)
                ]
            if not more:
                return named
            further = more[0]
            named = replace(
                named,
                start=min(named.start, further.start),
                end=max(named.end, further.end),
                held_by=(*named.held_by, *further.held_by),
                text=f"{named.text}; or else {further.text}",
            )

    def _tied(self) -> Obstacle:
        """What ties the visit's parts together: without the visits named, as few as can be found, they find room."""
        ledger = self.ledger
        wanted = Interval(self.start, min(DAY_MIN, self.start + self.visit.minutes))
        rule, resource = tying_rule(ledger, self.visit, self.start)
        what = "the visit's own parts find no room together"
        with self._gone(tuple(ledger.visits)) as alone:
            if not alone._fits():
                return in_vain(rule, resource, wanted, f"{what}, even alone")
        gone = dict.fromkeys(ledger.visits)
        for id in sorted(ledger.visits):
            with self._gone(tuple(other for other in gone if other != id)) as left:
                if left._fits():
                    gone.pop(id)
        spans = {id: _span_of(ledger, id) for id in gone}
        return by_visits(rule, resource, spans, f"{what} at {clock(self.start)}")[0]

    @contextmanager
    def _gone(self, ids: tuple[str, ...]) -> Iterator["_Blame"]:
        """The same question with these visits off the plan."""
        ledger = self.ledger
        taken = [ledger.remove(id) for id in ids]
        try:
            units = {part.unit for placed in taken for part in placed.parts} | self.wanting
            wanting = frozenset(unit for unit in units if not ledger.batteries.lasts(unit))
            yield _Blame(ledger, self.visit, wanting, self.start)
        finally:
            for placed in taken:
                ledger.add(placed)


def _span_of(ledger: Ledger, id: str) -> Interval:
    placed, parts = ledger.visits[id], ledger.day.visit_by_id[id].parts
    return Interval(placed.parts[0].start, placed.parts[-1].start + parts[-1].minutes)
