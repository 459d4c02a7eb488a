"""Who holds what in a plan, from which task to which: each resource's holders in their planned order."""

from collections import defaultdict
from collections.abc import Iterator
from typing import NamedTuple

from solver.names import RuleName
from solver.problem import Day
from solver.schedule import Plan
from solver.stays import Stay, visit_stays

TaskKey = tuple[str, int, int]
"""A task of a plan: visit, part and phase; for a break the staff member, -1 and the break's number in the plan."""


class Span(NamedTuple):
    """A resource is held from the start (minutes from midnight) of the task ``first`` to the end of ``last``.

    ``kind``: what those who share the resource must have alike: the place, or the suction level.
    """

    start: int
    first: TaskKey
    last: TaskKey
    kind: str = ""


class Holders(NamedTuple):
    """Everyone who holds one resource, by planned start; ``gap`` minutes lie between two of them."""

    rule: RuleName
    resource: str
    spans: list[Span]
    gap: int


def holders_of(day: Day, plan: Plan) -> Iterator[Holders]:
    """Each resource that the plan uses, with its holders. The plan is right for the day."""
    held: dict[tuple[RuleName, str], list[Span]] = defaultdict(list)
    for number, taken in enumerate(plan.breaks):
        key = (taken.staff, -1, number)
        held["hands", taken.staff].append(Span(taken.start, key, key))
    for placed in plan.visits:
        visit = day.visit_by_id[placed.id]
        for i, (part, where) in enumerate(zip(visit.parts, placed.parts, strict=True)):
            for j, ((_, minutes), who) in enumerate(zip(part.phases_at(where.start), where.hands, strict=True)):
                if who is not None:
                    held["hands", who].append(Span(minutes.start, (visit.id, i, j), (visit.id, i, j)))
        last = len(visit.parts) - 1
        end = (visit.id, last, len(visit.parts[last].phases) - 1)
        held["patient", visit.patient].append(Span(placed.parts[0].start, (visit.id, 0, 0), end))
        for indices, stay in zip(visit.stays, visit_stays(visit, placed), strict=True):
            for rule, resource, span in _of_stay(indices[0], stay):
                held[rule, resource].append(span)
    gaps: dict[tuple[RuleName, str], int] = {
        ("applicator", item): pool.turnaround_min for pool in day.applicators for item in pool.items
    }
    for (rule, resource), spans in held.items():
        gap = {"bay": day.bay_turnover_min, "place": day.move_min}.get(rule, gaps.get((rule, resource), 0))
        yield Holders(rule, resource, sorted(spans), gap)


def _of_stay(first_part: int, stay: Stay) -> Iterator[tuple[RuleName, str, Span]]:
    """The stay's bay and room on the unit; its parts' channels and suction; its items, each over all it is for."""
    visit, spans = stay.visit.id, []
    for i, (part, placed) in enumerate(stay.parts, start=first_part):
        spans.append(Span(placed.start, (visit, i, 0), (visit, i, len(part.phases) - 1)))
    whole = Span(spans[0].start, spans[0].first, spans[-1].last, stay.place)
    yield "bay", stay.bay, whole
    yield "place", stay.unit, whole
    yield "patients", stay.unit, whole
    items: dict[str, Span] = {}
    for (part, placed), span in zip(stay.parts, spans, strict=True):
        for channel in (id for ids in placed.channels.values() for id in ids):
            yield "channels", f"{stay.unit} {channel}", span
        if part.suction_kpa is not None:
            yield "suction", stay.unit, span._replace(kind=str(part.suction_kpa))
        for item in (id for ids in placed.items.values() for id in ids):
            items[item] = items.get(item, span)._replace(last=span.last)
    for item, span in items.items():
        yield "applicator", item, span
