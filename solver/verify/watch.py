"""At every minute, the staff who are there can watch all the parts that run with nobody's hands on them."""

from collections import defaultdict
from collections.abc import Iterable, Iterator

from solver.clock import Interval
from solver.names import RuleName
from solver.problem import Day
from solver.schedule import Plan
from solver.verify.breach import Breach
from solver.verify.sweep import above_zero
from solver.verify.walk import phases_of


class Watch:
    name: RuleName = "watch"

    def check(self, day: Day, plan: Plan) -> Iterator[Breach]:
        phases = list(phases_of(day, plan))
        busy: dict[str, list[Interval]] = defaultdict(list)
        unwatched: dict[int, int] = defaultdict(int)
        for at in phases:
            if at.phase.unattended:
                _add(unwatched, at.interval, 1)
            if at.phase.hands != "nobody" and at.staff is not None:
                busy[at.staff].append(at.interval)
        for member in day.staff:
            pauses = [Interval(taken.start, taken.end) for taken in plan.breaks if taken.staff == member.id]
            there = _without(_merged(member.hours), _merged(pauses))
            for span in there:
                _add(unwatched, span, -member.watch_free)
            for span in _shared(there, _merged(busy[member.id])):
                _add(unwatched, span, member.watch_free - member.watch_busy)
        for run, excess in above_zero(unwatched):
            running = dict.fromkeys(
                f"{at.at.visit.id} part {at.at.part.id}"
                for at in phases
                if at.phase.unattended and at.interval.meets(run)
            )
            text = f"{excess} more running parts than the staff can watch ({run}): {', '.join(running)}"
            yield Breach(self.name, text)


def _add(changes: dict[int, int], span: Interval, change: int) -> None:
    changes[span.start] += change
    changes[span.end] -= change


def _merged(spans: Iterable[Interval]) -> list[Interval]:
    """The spans' minutes as intervals in order that neither overlap nor touch."""
    merged: list[Interval] = []
    for start, end in sorted(spans):
        if merged and start <= merged[-1].end:
            merged[-1] = Interval(merged[-1].start, max(end, merged[-1].end))
        elif start < end:
            merged.append(Interval(start, end))
    return merged


def _shared(some: list[Interval], others: list[Interval]) -> list[Interval]:
    return [Interval(max(a.start, b.start), min(a.end, b.end)) for a in some for b in others if a.meets(b)]


def _without(some: list[Interval], others: list[Interval]) -> list[Interval]:
    """The minutes of ``some`` that are in none of ``others``."""
    left: list[Interval] = []
    for start, end in some:
        for other in others:
            if other.meets(Interval(start, end)):
                if start < other.start:
                    left.append(Interval(start, other.start))
                start = max(start, other.end)
        if start < end:
            left.append(Interval(start, end))
    return left
