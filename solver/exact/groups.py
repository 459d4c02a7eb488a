"""A bound of the aim ``wish`` from groups of visits: each is proved as a day of its own, and what they cost adds up.

Visits taken out of a right plan leave a right plan, as long as no unit runs on a battery (a move may then leave less
time to charge). So the visits of a group cost in any plan at least what they cost alone, on mains, and groups that
share no visit add up. It is mostly visits with wishes near each other that stand in each other's way: groups are cut
where wishes lie furthest apart, the small ones are looked at first, then two neighbours together.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from solver.columns.bound import column_bound
from solver.compose import breaks_by_number, plan_of
from solver.exact.solving import Limits
from solver.exact.stages import Stages
from solver.names import AimName
from solver.problem import Day
from solver.progress import StopRequest
from solver.schedule import Plan
from solver.visits import Visit

FEW_VISITS = 10
"""Up to so many visits are not parted any further."""
MOST_VISITS = 60
"""Groups of more visits are not looked at as a whole."""
FIRST_SECONDS = 0.5
"""How long a group is looked at for the first time."""


@dataclass(slots=True)
class Group:
    """Visits in the order of their wishes, and the two groups that they are made of, if any.

    ``bound``: what they cost at least as a whole; ``settled``: no plan of theirs alone is better than one known.
    """

    visits: Sequence[Visit]
    halves: tuple["Group", ...] = ()
    bound: int = 0
    settled: bool = False

    @property
    def least(self) -> int:
        """What they cost at least, looked at as a whole or half by half."""
        return max(self.bound, sum(half.least for half in self.halves))

    @property
    def ready(self) -> bool:
        """True where it is open, and nothing smaller is."""
        return not self.settled and all(half.settled for half in self.halves)

    def all(self) -> Iterator["Group"]:
        """This group and all that it is made of."""
        yield self
        for half in self.halves:
            yield from half.all()


def wish_bound(
    day: Day,
    held: Mapping[AimName, int],
    best: Callable[[], Plan],
    limits: Callable[[float], Callable[[], Limits] | None],
    *,
    told: Callable[[int], object],
    should_stop: StopRequest,
) -> None:
    """Tell of ever better bounds until nothing more is to be had or time is up.

    ``held``: the scores of the aims before; ``best``: the best plan known by now; ``limits``: those of a search that
    may take so many seconds, None once there is no more time. Groups that stay open are tried again with twice of it.
    """
    whole = parted(sorted((visit for visit in day.visits if visit.wish is not None), key=_wish))
    groups = sorted((group for group in whole.all() if len(group.visits) <= MOST_VISITS), key=lambda g: len(g.visits))
    alone = [_Alone(day, held, group, best()) for group in groups]
    seconds = FIRST_SECONDS
    while any(one.group.ready for one in alone):
        for one in alone:
            if one.group.ready:
                now = limits(seconds)
                if now is None or should_stop():
                    return
                one.prove(best(), now, lambda: told(whole.least), should_stop)
        seconds *= 2


def parted(visits: Sequence[Visit]) -> Group:
    """Groups within groups: each is cut at the widest gap between wishes in its middle half, where there is one."""
    count = len(visits)
    gaps = {at: _wish(visits[at]) - _wish(visits[at - 1]) for at in range(max(1, count // 4), count - count // 4)}
    if count <= FEW_VISITS or not any(gaps.values()):
        return Group(visits)
    at = max(gaps, key=lambda at: (gaps[at], -abs(2 * at - count)))
    return Group(visits, halves=(parted(visits[:at]), parted(visits[at:])))


def _wish(visit: Visit) -> int:
    return visit.wish or 0


class _Alone:
    """A group of visits as a day of its own, with every unit on mains. ``best``: a plan of the whole day."""

    def __init__(self, day: Day, held: Mapping[AimName, int], group: Group, best: Plan) -> None:
        self.group = group
        self.held = held
        self._ids = {visit.id for visit in group.visits}
        self.day = replace(
            day,
            visits=tuple(visit for visit in day.visits if visit.id in self._ids),
            published=tuple(told for told in day.published if told.id in self._ids),
            units=tuple(replace(unit, battery=None) for unit in day.units),
            aims=(*held, "wish"),
        )
        self._best = self._of_group(best)
        self._stages: Stages | None = None

    @property
    def _open(self) -> bool:
        return self.group.least < self._best.scores["wish"]

    def prove(
        self, best: Plan, limits: Callable[[], Limits], news: Callable[[], object], should_stop: StopRequest
    ) -> None:
        """Columns first, then the exact model, until it is known what the group costs at least, or time is up.

        ``news`` is called at every better bound.
        """
        self._better(self._of_group(best))

        def raised(bound: int) -> bool:
            if bound > self.group.bound:
                self.group.bound = bound
                news()
            return not self._open

        if self._stages is None and self._open:
            most = self._best.scores["wish"]
            raised(column_bound(self.day, "wish", self.held, most, should_stop, known=self._best).score)
            self._stages = Stages(self.day)
        if self._stages is not None and self._open:
            self._stages.hold(self.held, "wish", self.group.least)
            self._stages.minimise(
                "wish", self._best, limits, on_plan=self._better, on_bound=raised, should_stop=should_stop
            )  # fmt: skip
        self.group.settled = not self._open

    def _of_group(self, best: Plan) -> Plan:
        """What the plan does with the group's visits."""
        placed = {placed.id: placed for placed in best.visits if placed.id in self._ids}
        return plan_of(self.day, placed, breaks_by_number(best.breaks))

    def _better(self, plan: Plan) -> Plan:
        """The best plan of the group, this one or another."""
        if plan.scores["wish"] < self._best.scores["wish"]:
            self._best = plan
        return self._best
