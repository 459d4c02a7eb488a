"""What many runs came to, as counts by whole minutes: they add up in any order to the same."""

from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field

from solver.simulation.day_run import Happened, Held
from solver.simulation.layout import Layout, Shift


@dataclass(slots=True)
class Tally:
    """Counters from minutes to how often. ``delays`` and ``held`` by visit, ``overtime`` by member, by number.

    A wait is all that a patient spends beyond plan and own lateness: before the visit and between its phases. A delay
    is the wait before the visit alone. Both count the visits that took place.
    """

    runs: int = 0
    missed: int = 0
    waits: Counter[int] = field(default_factory=Counter)
    finish: Counter[int] = field(default_factory=Counter)
    short: Counter[int] = field(default_factory=Counter)
    overtime: defaultdict[int, Counter[int]] = field(default_factory=lambda: defaultdict(Counter))
    delays: defaultdict[int, Counter[int]] = field(default_factory=lambda: defaultdict(Counter))
    held: defaultdict[int, Counter[Held]] = field(default_factory=lambda: defaultdict(Counter))

    def count(self, layout: Layout, happened: Happened) -> None:
        """Add a run."""
        self.runs += 1
        self.missed += len(happened.missed)
        self.short[happened.short_minutes] += 1
        for number, visit in enumerate(layout.visits):
            if number in happened.missed:
                continue
            waits = [wait_before(happened, task) for task in visit.tasks]
            self.waits[sum(waits)] += 1
            self.delays[number][waits[0]] += 1
            if waits[0]:
                self.held[number][happened.held[visit.tasks[0]]] += 1
        self.finish[_finish(layout, happened)] += 1
        for number, member in enumerate(layout.members):
            self.overtime[number][sum(_overtime(member.shifts, happened))] += 1

    def add(self, other: "Tally") -> None:
        """Add the runs of another tally."""
        self.runs += other.runs
        self.missed += other.missed
        for mine, theirs in ((self.waits, other.waits), (self.finish, other.finish), (self.short, other.short)):
            mine.update(theirs)
        for by_number, others in ((self.overtime, other.overtime), (self.delays, other.delays)):
            for number, minutes in others.items():
                by_number[number].update(minutes)
        for number, holders in other.held.items():
            self.held[number].update(holders)


def wait_before(happened: Happened, task: int) -> int:
    """Minutes between when a task that took place could have begun and when it did."""
    ready, begun = happened.ready[task], happened.begun[task]
    assert ready is not None, "asked of a visit that took place"
    assert begun is not None, "every visit that takes place begins"
    return begun - ready


def _finish(layout: Layout, happened: Happened) -> int:
    """The end of the last phase; opening time where nobody came."""
    ends = (end for task, end in zip(layout.tasks, happened.ended, strict=True) if task.visit is not None)
    return max(layout.open, *(end for end in ends if end is not None), layout.open)


def _overtime(shifts: tuple[Shift, ...], happened: Happened) -> Iterator[int]:
    """Minutes after the end of each shift until its hands-on tasks are done, or the next shift begins."""
    for shift, after in zip(shifts, (*shifts[1:], None), strict=True):
        done = max((end for task in shift.tasks if (end := happened.ended[task]) is not None), default=shift.end)
        until = done if after is None else min(done, after.start)
        yield max(0, until - shift.end)
