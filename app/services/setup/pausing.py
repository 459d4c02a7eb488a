"""The breaks of a plan after a change: those that still hold stay, the others are taken anew.

A break that finds no room between the visits takes the start at which the fewest visits are in its way, counted by
whether they are fixed, then by priority. Those visits then have to go.
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from app.services.setup.merging import refused_break
from solver.clinic import StaffMember
from solver.clock import Interval
from solver.compose import ledger_of
from solver.masks.pauses import take_break
from solver.problem import Day
from solver.schedule import PlacedBreak, PlacedVisit, Plan


def breaks_made_right(day: Day, visits: Sequence[PlacedVisit], taken: Sequence[PlacedBreak]) -> tuple[PlacedBreak, ...]:
    """Each due break once. ``visits``: those that hold by themselves. Raises InputError where one finds no place."""
    kept: dict[tuple[str, int], PlacedBreak] = {}
    spare = [pause for pause in taken if day.open_interval.covers(Interval(pause.start, pause.end))]
    spare = [pause for pause in spare if pause.start % day.step_min == 0]
    missing: list[tuple[StaffMember, int]] = []
    for member in day.staff:
        for index in sorted(range(len(member.breaks)), key=lambda i: member.breaks[i].between.minutes):
            due = member.breaks[index]
            held = next((p for p in spare if p.staff == member.id and _holds(p, due.minutes, due.between)), None)
            if held is None:
                missing.append((member, index))
            else:
                spare.remove(held)
                kept[member.id, index] = held
    if not missing:
        return _in_order(day, kept)
    ledger = ledger_of(day, Plan(date=day.date, status="feasible", visits=tuple(visits)))
    for (_, index), pause in kept.items():
        ledger.add_break(index, pause)
    for member, index in missing:
        if take_break(ledger, member, index):
            kept[member.id, index] = ledger.breaks[member.id, index]
        else:
            kept[member.id, index] = _least_in_the_way(day, visits, member, index, kept)
            ledger.add_break(index, kept[member.id, index])
    return _in_order(day, kept)


def _holds(pause: PlacedBreak, minutes: int, between: Interval) -> bool:
    return pause.end - pause.start == minutes and between.covers(Interval(pause.start, pause.end))


def _in_order(day: Day, breaks: dict[tuple[str, int], PlacedBreak]) -> tuple[PlacedBreak, ...]:
    return tuple(breaks[member.id, i] for member in day.staff for i in range(len(member.breaks)))


def _least_in_the_way(
    day: Day,
    visits: Sequence[PlacedVisit],
    member: StaffMember,
    index: int,
    kept: dict[tuple[str, int], PlacedBreak],
) -> PlacedBreak:
    due = member.breaks[index]
    others = [Interval(pause.start, pause.end) for (id, _), pause in kept.items() if id == member.id]
    first, last = max(day.open, due.between.start), min(day.close, due.between.end) - due.minutes
    starts = [
        start
        for start in range(-(-first // day.step_min) * day.step_min, last + 1, day.step_min)
        if not any(Interval(start, start + due.minutes).meets(other) for other in others)
    ]
    if not starts:
        raise refused_break(day, member, due)
    busy = list(_busy(day, visits, member.id))

    def cost(start: int) -> tuple[int, int, int]:
        span = Interval(start, start + due.minutes)
        there = {id for id, interval in busy if interval.meets(span)}
        met = [visit for visit in day.visits if visit.id in there]
        return sum(visit.fixed is not None for visit in met), sum(visit.priority for visit in met), start

    start = min(starts, key=cost)
    return PlacedBreak(staff=member.id, start=start, end=start + due.minutes)


def _busy(day: Day, visits: Iterable[PlacedVisit], staff: str) -> Iterable[tuple[str, Interval]]:
    for placed in visits:
        for part, given in zip(day.visit_by_id[placed.id].parts, placed.parts, strict=True):
            for (_, interval), who in zip(part.phases_at(given.start), given.hands, strict=True):
                if who == staff:
                    yield placed.id, interval


def without_breaks(day: Day) -> Day:
    """The day with no break due, to judge visits by themselves."""
    return replace(day, staff=tuple(replace(member, breaks=()) for member in day.staff))
