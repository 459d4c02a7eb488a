"""A plan as tasks that follow each other: every phase of every part, and every break.

Each task names what must have ended before it may begin. That is always something which the plan has end, with its
turnaround, by the task's own planned start; so no task can wait for one that waits for it, and a day without chance
is the plan itself.
"""

from dataclasses import dataclass
from typing import NamedTuple

from solver.names import RuleName


class Wait(NamedTuple):
    """What a task waits for on one resource: ``earlier`` tasks, by number, each with the minutes to keep after it.

    ``in_line``: the resource has one holder at a time, and ``earlier`` holds those before, the last first; the task
    waits for the nearest that is not missed. Otherwise it waits until at most ``allowed`` of them are still to end.
    """

    rule: RuleName
    resource: str
    earlier: tuple[tuple[int, int], ...]
    in_line: bool
    allowed: int


@dataclass(frozen=True, slots=True)
class Task:
    """A phase of a visit, or a break (``visit`` None). ``planned``: its start, in minutes from midnight.

    ``then``: the visit's next task, by number.
    """

    planned: int
    minutes: int
    visit: int | None
    staff: int | None
    unattended: bool
    then: int | None
    waits: tuple[Wait, ...]

    @property
    def may_overrun(self) -> bool:
        """A phase in somebody's hands: an unattended part ends by itself, and a break keeps its length."""
        return self.visit is not None and self.staff is not None


@dataclass(frozen=True, slots=True)
class VisitTasks:
    """A placed visit: its id, its planned start, and the numbers of its tasks in their order."""

    id: str
    planned: int
    tasks: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Shift:
    """An interval of a member's hours (those that touch as one), and their hands-on tasks that are planned in it."""

    start: int
    end: int
    tasks: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Member:
    id: str
    watch_free: int
    watch_busy: int
    shifts: tuple[Shift, ...]


@dataclass(frozen=True, slots=True)
class Layout:
    """``tasks`` by planned start; ``breaks``: the numbers of those that are breaks. Times in minutes from midnight."""

    tasks: tuple[Task, ...]
    visits: tuple[VisitTasks, ...]
    breaks: tuple[int, ...]
    members: tuple[Member, ...]
    open: int
    close: int

    @property
    def finish(self) -> int:
        """The planned end of the last phase, or opening time where nobody is placed."""
        return max((task.planned + task.minutes for task in self.tasks if task.visit is not None), default=self.open)
