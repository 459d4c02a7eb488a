"""From a right plan to its tasks and what each of them waits for."""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from itertools import pairwise
from typing import NamedTuple

from solver.clinic import StaffMember
from solver.clock import Interval
from solver.problem import Day
from solver.schedule import Plan
from solver.simulation.holds import Holders, Span, TaskKey, holders_of
from solver.simulation.layout import Layout, Member, Shift, Task, VisitTasks, Wait


class _Bare(NamedTuple):
    """A task that does not know yet what it waits for."""

    planned: int
    key: TaskKey
    minutes: int
    staff: str | None
    unattended: bool


def lay_out(day: Day, plan: Plan) -> Layout:
    """The layout of a plan that is right for the day."""
    bare = sorted(_tasks(day, plan))
    number = {task.key: n for n, task in enumerate(bare)}
    visits = {placed.id: n for n, placed in enumerate(plan.visits)}
    staff = {member.id: n for n, member in enumerate(day.staff)}
    in_turn = sorted(key for key in number if key[1] >= 0)
    then = {number[one]: number[after] for one, after in pairwise(in_turn) if one[0] == after[0]}
    waits: dict[TaskKey, list[Wait]] = defaultdict(list)
    for holders in holders_of(day, plan):
        for key, wait in _waits(day, holders, number):
            waits[key].append(wait)
    tasks = tuple(
        Task(
            planned=task.planned,
            minutes=task.minutes,
            visit=None if task.key[1] < 0 else visits[task.key[0]],
            staff=None if task.staff is None else staff[task.staff],
            unattended=task.unattended,
            then=then.get(n),
            waits=tuple(waits[task.key]),
        )
        for n, task in enumerate(bare)
    )
    return Layout(
        tasks=tasks,
        visits=tuple(
            VisitTasks(
                id=placed.id,
                planned=placed.parts[0].start,
                tasks=tuple(n for n, task in enumerate(tasks) if task.visit == visits[placed.id]),
            )
            for placed in plan.visits
        ),
        breaks=tuple(n for n, task in enumerate(tasks) if task.visit is None),
        members=tuple(
            Member(member.id, member.watch_free, member.watch_busy, tuple(_shifts(member, n, tasks)))
            for n, member in enumerate(day.staff)
        ),
        open=day.open,
        close=day.close,
    )


def _tasks(day: Day, plan: Plan) -> Iterator[_Bare]:
    for number, taken in enumerate(plan.breaks):
        yield _Bare(taken.start, (taken.staff, -1, number), taken.end - taken.start, taken.staff, False)
    for placed in plan.visits:
        visit = day.visit_by_id[placed.id]
        for i, (part, where) in enumerate(zip(visit.parts, placed.parts, strict=True)):
            for j, (phase, minutes) in enumerate(part.phases_at(where.start)):
                yield _Bare(minutes.start, (visit.id, i, j), phase.minutes, where.hands[j], phase.unattended)


def _waits(day: Day, holders: Holders, number: Mapping[TaskKey, int]) -> Iterator[tuple[TaskKey, Wait]]:
    """What each holder but the first waits for on the resource."""
    rule, resource, spans, gap = holders
    in_line = rule not in ("place", "suction", "patients")
    allowed = day.unit_by_id[resource].patients_at_once - 1 if rule == "patients" else 0
    before: list[Span] = []
    for span in spans:
        others = [one for one in before if in_line or rule == "patients" or one.kind != span.kind]
        if len(others) > allowed:
            earlier = tuple(
                (number[one.last], 0 if rule == "bay" and one.last[0] == span.first[0] else gap)
                for one in reversed(others)
            )
            yield span.first, Wait(rule, resource, earlier, in_line, allowed)
        before.append(span)


def _shifts(member: StaffMember, staff: int, tasks: tuple[Task, ...]) -> Iterator[Shift]:
    joined: list[Interval] = []
    for hours in sorted(member.hours):
        if joined and joined[-1].end == hours.start:
            hours = Interval(joined.pop().start, hours.end)
        joined.append(hours)
    for start, end in joined:
        mine = (n for n, task in enumerate(tasks) if task.staff == staff and task.may_overrun)
        yield Shift(start, end, tuple(n for n in mine if start <= tasks[n].planned < end))
