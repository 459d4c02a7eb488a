"""One run of a planned day in SimPy, as a clinic would go through it that keeps to its plan.

The rule: whoever is next in the plan is next. A visit begins when its patient is there, not before its planned start,
and when all that the plan names for it is free: its channels, its room on the unit, its bay after turnover, its items
after turnaround, the suction level, the unit at its place, the hands of its first phase. Nobody is overtaken on any of
these: where a patient is late, what is theirs waits for them. Each further phase waits for its own hands. Phases in
somebody's hands may take longer than planned; unattended ones end by themselves, and breaks keep their length. An
unattended running phase begins only while the staff can watch one more, unless no more watch is to be had that day.
Staff leave at the end of their hours when their hands-on phases planned in them are done. A missed visit is known of by
its planned start and frees what was its own; a patient later than the limit is given up at the limit. Batteries are not
followed, longest waits between parts may be passed, and nothing is planned anew.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import partial

from simpy import Environment, Event

from solver.names import RuleName
from solver.simulation.chance import Chance
from solver.simulation.layout import Layout
from solver.simulation.watching import GONE, Watching


@dataclass(frozen=True, slots=True)
class Held:
    """What a task waited for: the rule, the resource, and the visit before it there (None: a break, or the staff)."""

    rule: RuleName
    resource: str
    visit: str | None


@dataclass(slots=True)
class Happened:
    """What became of each task, by number: when it could have begun, began, ended; None where it never did.

    ``held``: by what a task was held last, for those that waited. ``missed``: visits by number.
    """

    ready: list[int | None]
    begun: list[int | None]
    ended: list[int | None]
    held: dict[int, Held] = field(default_factory=dict)
    missed: set[int] = field(default_factory=set)
    short_minutes: int = 0


class DayRun:
    """``later``: minutes by which one visit's patient is told to come later than planned, by the visit's number.

    ``limit``: minutes after which a late patient is given up; 0: never.
    """

    def __init__(self, layout: Layout, chance: Chance, limit: int, later: dict[int, int] | None = None) -> None:
        self._layout, self._chance, self._limit, self._later = layout, chance, limit, later or {}
        count = len(layout.tasks)
        self.happened = Happened([None] * count, [None] * count, [None] * count)
        self._watching = Watching(layout, self.happened.ended)
        self._env = Environment()
        self._waiting: set[int] = set()
        self._wakes: set[int] = set()
        self._told = False
        self._goal: int | None = None
        self._reached = self._env.event()

    def run(self, until: int | None = None) -> Happened:
        """The whole day, or the day until the task of this number has begun or its visit is missed."""
        layout, env, happened, self._goal = self._layout, self._env, self.happened, until
        for number, missed in enumerate(self._chance.missed):
            if missed:
                self._give_up(number)
            else:
                self._await(number)
        for task in layout.breaks:
            self._at(layout.tasks[task].planned, partial(self._be_ready, task))
        shifts = [shift for member in layout.members for shift in member.shifts]
        for minute in {minute for shift in shifts for minute in (shift.start, shift.end)}:
            self._at(minute, self._tell)  # watch changes when somebody comes or goes
        env.run(None if until is None else self._reached)
        happened.short_minutes = self._watching.short_minutes
        return happened

    def _at(self, minute: int, do: Callable[[], None]) -> None:
        self._env.timeout(minute - self._minute()).callbacks.append(lambda _: do())

    def _minute(self) -> int:
        return int(self._env.now)

    def _await(self, number: int) -> None:
        """Wait for the patient, as long as the limit says."""
        visit, late = self._layout.visits[number], self._chance.late[number]
        told = visit.planned + self._later.get(number, 0)
        if self._limit and late > self._limit:
            self._at(told + self._limit, partial(self._give_up, number))
        else:
            self._at(told + late, partial(self._be_ready, visit.tasks[0]))

    def _be_ready(self, task: int) -> None:
        """All is done that comes before the task in its visit; it begins when its turn has come."""
        self.happened.ready[task] = self._minute()
        self._waiting.add(task)
        self._tell()

    def _begin(self, task: int) -> None:
        self._waiting.remove(task)
        self.happened.begun[task] = self._minute()
        self._watching.begin(task)
        minutes = self._layout.tasks[task].minutes + self._chance.longer[task]
        self._env.timeout(minutes).callbacks.append(partial(self._end, task))
        self._reach(task)

    def _end(self, task: int, _: Event) -> None:
        minute = self._minute()
        self.happened.ended[task] = minute
        self._watching.end(task)
        then = self._layout.tasks[task].then
        if then is None:
            self._tell()
            return
        planned = self._planned(then)
        if planned > minute:
            self._at(planned, partial(self._be_ready, then))
            self._tell()
        else:
            self._be_ready(then)

    def _planned(self, task: int) -> int:
        planned, visit = self._layout.tasks[task].planned, self._layout.tasks[task].visit
        return planned if visit is None else planned + self._later.get(visit, 0)

    def _give_up(self, number: int) -> None:
        self.happened.missed.add(number)
        for task in self._layout.visits[number].tasks:
            self.happened.ended[task] = GONE
            self._reach(task)
        self._tell()

    def _tell(self) -> None:
        """See who may begin, once all that happens in this minute has happened: what ends now was due before."""
        if not self._told:
            self._told = True
            news = self._env.event()
            news.callbacks.append(self._settle)
            news.succeed()

    def _settle(self, _: Event) -> None:
        self._told = False
        minute = self._minute()
        self._watching.before(minute)
        unwatched = None
        began = False
        for task in sorted(self._waiting):
            held = self._held(task, minute)
            if held is None:
                self._begin(task)
                began = True
                continue
            self.happened.held[task] = held
            if held.rule == "watch" and unwatched is None:
                unwatched = task
        if unwatched is not None and not began and self._env.peek() == float("inf"):
            self._begin(unwatched)
        self._watching.after(minute)

    def _reach(self, task: int) -> None:
        if task == self._goal:
            self._reached.succeed()

    def _held(self, number: int, minute: int) -> Held | None:
        """What the task still waits for, if anything."""
        task, ended = self._layout.tasks[number], self.happened.ended
        for wait in task.waits:
            allowed = wait.allowed
            for earlier, gap in wait.earlier:
                end = ended[earlier]
                if end == GONE:
                    continue
                if end is None or end + gap > minute:
                    if allowed == 0:
                        if end is not None:
                            self._wake_at(end + gap)
                        return Held(wait.rule, wait.resource, self._visit_id(earlier))
                    allowed -= 1
                if wait.in_line:
                    break
        if task.unattended and self._watching.running >= self._watching.capacity(minute):
            return Held("watch", "staff", None)
        return None

    def _visit_id(self, task: int) -> str | None:
        visit = self._layout.tasks[task].visit
        return None if visit is None else self._layout.visits[visit].id

    def _wake_at(self, minute: int) -> None:
        if minute not in self._wakes:
            self._wakes.add(minute)
            self._at(minute, self._tell)
