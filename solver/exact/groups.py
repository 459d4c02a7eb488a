"""A bound from groups of visits: each is proved as a day of its own, and what groups come to adds up.

Visits taken out of a right plan leave a right plan, as long as no unit runs on a battery (a move may then leave less time
to charge). So for the visits of a group any plan costs at least what they cost alone, on mains, and groups that share no
visit add up. It is mostly visits near the same hour that stand in each other's way: the groups are cut where the hours
that visits would like lie furthest apart, the small ones are looked at first, then two neighbours together.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from solver.columns.bound import column_bound
from solver.compose import plan_of
from solver.exact.solving import Limits
from solver.exact.stages import Stages
from solver.names import AimName
from solver.problem import Day
from solver.progress import StopRequest
from solver.schedule import Plan
from solver.visits import Visit

FEW_VISITS = 10
"""Up to so many visits are not parted any further."""
FIRST_SECONDS = 0.5
"""How long a group is looked at for the first time."""
MOST_VISITS = 60
"""Groups of more visits are not looked at as a whole."""


@dataclass(slots=True)
class Group:
    """Visits that follow each other by the hour they would like, and the two groups that they are made of, if any.

    ``bound``: what they cost at least as a whole; ``settled``: whether that is all there is to find out.
    """

    visits: Sequence[Visit]
    halves: tuple["Group", ...] = ()
    bound: int = 0
    settled: bool = False

    @property
    def least(self) -> int:
        """What they cost at least, as a whole or half by half."""
        return max(self.bound, sum(half.least for half in self.halves))

    def all(self) -> Iterator["Group"]:
        """This group and all that it is made of."""
        yield self
        for half in self.halves:
            yield from half.all()


def group_bound(
    day: Day,
    aim: AimName,
    held: Mapping[AimName, int],
    best: Callable[[], Plan],
    limits: Callable[[float], Callable[[], Limits] | None],
    *,
    told: Callable[[int], object],
    should_stop: StopRequest,
) -> None:
    """Tell of ever better bounds of an aim that is a sum over visits, until nothing more is to be had or time is up.

    ``held``: the scores of the aims before; ``best``: the best plan known by now; ``limits``: those of a search that may
    take so many seconds, None once there is no more time. Groups that stay open are tried again with twice the time.
    """
    whole = _parted(_by_hour(day, aim, best()))
    groups = sorted(whole.all(), key=lambda group: len(group.visits))
    alone = [(group, _Alone(day, aim, held, group, lambda: told(whole.least))) for group in groups]
    seconds = FIRST_SECONDS
    while not should_stop():
        ready = [
            (group, one)
            for group, one in alone
            if len(group.visits) <= MOST_VISITS and not group.settled and all(half.settled for half in group.halves)
        ]
        if not ready:
            return
        for _, one in ready:
            now = limits(seconds)
            if now is None or should_stop():
                return
            one.prove(best(), now, should_stop)
        seconds *= 2


class _Alone:
    """A group of visits as a day of its own, with every unit on mains."""

    def __init__(
        self, day: Day, aim: AimName, held: Mapping[AimName, int], group: Group, news: Callable[[], object]
    ) -> None:
        self.ids = {visit.id for visit in group.visits}
        self.aim = aim
        self.held = held
        self.group = group
        self.news = news
        self.day = replace(
            day,
            visits=tuple(visit for visit in day.visits if visit.id in self.ids),
            published=tuple(told for told in day.published if told.id in self.ids),
            units=tuple(replace(unit, battery=None) for unit in day.units),
            aims=(*held, aim),
        )
        self._best: Plan | None = None
        self._stages: Stages | None = None

    def prove(self, best: Plan, limits: Callable[[], Limits], should_stop: StopRequest) -> None:
        """Columns first, then the exact model, until it is known what the group costs at least.

        ``best``: a plan of the whole day.
        """
        group, aim = self.group, self.aim
        known = self._keep(self._of_group(best))
        if self._stages is None and group.least < known.scores[aim]:
            self._raise(column_bound(self.day, aim, self.held, known.scores[aim], should_stop, known=known))
            self._stages = Stages(self.day)
        if self._stages is not None and group.least < known.scores[aim]:
            self._stages.hold(self.held, aim, group.least)
            self._stages.minimise(
                aim, known, limits, on_plan=self._keep, on_bound=self._raise, should_stop=should_stop
            )  # fmt: skip
        group.settled = group.least >= self._keep(known).scores[aim]

    def _of_group(self, best: Plan) -> Plan:
        """What the plan does with the group's visits."""
        numbers: dict[str, int] = {}
        breaks = {}
        for taken in best.breaks:
            numbers[taken.staff] = numbers.get(taken.staff, -1) + 1
            breaks[taken.staff, numbers[taken.staff]] = taken
        return plan_of(self.day, {placed.id: placed for placed in best.visits if placed.id in self.ids}, breaks)

    def _keep(self, plan: Plan) -> Plan:
        """The better one of the plan and the best known."""
        if self._best is None or plan.scores[self.aim] < self._best.scores[self.aim]:
            self._best = plan
        return self._best

    def _raise(self, bound: int) -> bool:
        if bound > self.group.bound:
            self.group.bound = bound
            self.news()
        return self._best is not None and self.group.least >= self._best.scores[self.aim]


def _by_hour(day: Day, aim: AimName, best: Plan) -> list[tuple[int, Visit]]:
    """The visits that may cost something, with the minute they would like, or else have, in the order of these."""
    has = {placed.id: placed.parts[0].start for placed in best.visits}
    found = []
    for visit in day.visits:
        told = day.published_by_id.get(visit.id)
        wanted = told.parts[0].start if aim == "stable" and told is not None and told.parts else visit.wish
        if wanted is not None or aim not in ("stable", "wish"):
            free = day.visit_free(visit) or (day.open_interval,)
            minute = has.get(visit.id, free[0].start) if wanted is None else wanted
            found.append((minute, visit))
    return sorted(found, key=lambda one: one[0])


def _parted(visits: Sequence[tuple[int, Visit]]) -> Group:
    """Groups within groups: each is cut at the widest gap in its middle half, where there is one."""
    count = len(visits)
    gaps = {at: visits[at][0] - visits[at - 1][0] for at in range(max(1, count // 4), count - count // 4)}
    group = Group([visit for _, visit in visits])
    if count > FEW_VISITS and any(gaps.values()):
        at = max(gaps, key=lambda at: (gaps[at], -abs(2 * at - count)))
        group.halves = (_parted(visits[:at]), _parted(visits[at:]))
    return group
