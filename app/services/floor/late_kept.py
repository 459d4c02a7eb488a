"""From a plan of the day as it runs to a plan of the day as it is kept, with the minutes that were prescribed.

What is still to come is taken as it is. What was begun is put where the plan has it or, where that leaves no room,
near where it began, with whosever hands are free: its own minutes are in the record, a kept plan has prescribed ones.
"""

from collections.abc import Iterator
from dataclasses import replace
from typing import NamedTuple

from app.services.floor.reading import Reading
from solver.errors import Fault, InputError
from solver.masks.exactly import fits_exactly
from solver.masks.ledger import Ledger
from solver.masks.offers import best_offer
from solver.problem import Day
from solver.schedule import LeftOut, PlacedBreak, PlacedPart, PlacedVisit, Plan, Reason
from solver.verify import verify
from solver.verify.scores import scores_of
from solver.visits import Fixed, FixedPart, Visit

_WENT_BY = (Reason(rule="patient", text="its time went by, and others have its place"),)


class _Sides(NamedTuple):
    """What the kept plan and the one of the day as it runs have of a visit. ``begun``: how many parts were."""

    before: PlacedVisit
    after: PlacedVisit | None
    begun: int


def as_kept(day: Day, plan: Plan, reading: Reading, live: Plan) -> tuple[Day, Plan]:
    """The day, with what was fixed of visits where they are now, and its plan. Raises InputError: there is none."""
    after = {one.id: one for one in live.visits}
    sides = {one.id: _Sides(one, after.get(one.id), len(reading.state.visit(one.id).parts)) for one in plan.visits}
    left = {one.id: one for one in (*plan.left_out, *live.left_out)}
    ledger = _with_what_comes(day, live, sides)
    for code in sorted(sides, key=lambda code: sides[code].before.parts[0].start):
        before, now, begun = sides[code]
        if code in ledger.visits or (now is None and code in left and not begun and not reading.is_over(code)):
            continue
        visit = ledger.day.visit_by_id[code]
        found = next((one for one in _ways(ledger, visit, sides[code]) if one is not None), None)
        if found is not None:
            ledger.add(found)
        elif begun:
            right = "plan the day again, or move visits one by one"
            raise InputError([Fault(code, "with its prescribed minutes it leaves no room for what comes after", right)])
        else:
            left[code] = LeftOut(id=before.id, reasons=_WENT_BY)
    return _made(day, plan, live, ledger, left)


def _with_what_comes(day: Day, live: Plan, sides: dict[str, _Sides]) -> Ledger:
    """The day without anything fixed, with the breaks and all visits that were not begun where they will be."""
    ledger = Ledger(replace(day, visits=tuple(replace(visit, fixed=None, free=None) for visit in day.visits)))
    numbers: dict[str, int] = {}
    for taken in live.breaks:
        numbers[taken.staff] = numbers.get(taken.staff, -1) + 1
        ledger.add_break(numbers[taken.staff], PlacedBreak(staff=taken.staff, start=taken.start, end=taken.end))
    for _, now, begun in sides.values():
        if now is not None and not begun:
            ledger.add(now)
    return ledger


def _ways(ledger: Ledger, visit: Visit, sides: _Sides) -> Iterator[PlacedVisit | None]:
    """Where a visit that was begun, or whose time went by, may be kept: as near to the plan as can be."""
    before, now, begun = sides
    rest = before.parts[begun:] if now is None else now.parts[begun:]
    planned = replace(before, parts=(*before.parts[:begun], *rest))
    if len(planned.parts) == len(visit.parts) and fits_exactly(ledger, visit, planned) and _in_turn(visit, planned):
        yield planned
    if now is None:
        return
    step = ledger.day.step_min
    as_planned, as_begun = ([one.start for one in parts[:begun]] for parts in (before.parts, now.parts))
    as_late = _late_enough(visit, as_begun, [one.start for one in rest], step)
    therapists = dict.fromkeys((before.therapist, now.therapist)) if visit.needs_therapist else {None: None}
    for therapist in therapists:
        for first in (as_planned, as_begun, as_late):
            for later in (0, -step, step, -2 * step, 2 * step):
                starts = [*(start + later for start in first), *(one.start for one in rest)]
                held = zip((*before.parts[:begun], *rest), starts, strict=True)
                fixed = [_fixed(one, start) for one, start in held]
                whole = Fixed(therapist=therapist, therapist_given=True, parts=tuple(fixed))
                yield best_offer(ledger, replace(visit, fixed=whole))


def _in_turn(visit: Visit, placed: PlacedVisit) -> bool:
    """Whether the parts come one after the other, each within its longest wait."""
    ends = [where.start + part.minutes for part, where in zip(visit.parts, placed.parts, strict=True)]
    waits = [where.start - end for end, where in zip(ends, placed.parts[1:], strict=False)]
    longest = [part.max_wait_min for part in visit.parts[1:]]
    return all(wait >= 0 and (most is None or wait <= most) for wait, most in zip(waits, longest, strict=True))


def _late_enough(visit: Visit, begun: list[int], rest: list[int], step: int) -> list[int]:
    """Starts of what was begun, put off until no part that follows comes after more than its longest wait: with the
    minutes that were prescribed a part that took longer ends earlier than it did."""
    starts = [*begun, *rest]
    for i in range(len(begun) - 1, -1, -1):
        most = visit.parts[i + 1].max_wait_min if i + 1 < len(starts) else None
        if most is not None:
            soonest = starts[i + 1] - most - visit.parts[i].minutes
            starts[i] = max(starts[i], -(-soonest // step) * step)
    return starts[: len(begun)]


def _fixed(one: PlacedPart, start: int) -> FixedPart:
    """The part where it is, at that start."""
    return FixedPart(start=start, unit=one.unit, place=one.place, bay=one.bay, channels=one.channels, items=one.items)


def _made(day: Day, plan: Plan, live: Plan, ledger: Ledger, left: dict[str, LeftOut]) -> tuple[Day, Plan]:
    day = replace(day, visits=tuple(_settled(visit, ledger.visits.get(visit.id)) for visit in day.visits))
    made = replace(
        plan,
        status="feasible",
        visits=tuple(ledger.visits[visit.id] for visit in day.visits if visit.id in ledger.visits),
        left_out=tuple(left[visit.id] for visit in day.visits if visit.id not in ledger.visits),
        breaks=live.breaks,
        bounds=dict.fromkeys(day.aims, 0),
    )
    made = replace(made, scores=scores_of(day, made))
    breaches = verify(day, made)
    if breaches:
        right = "plan the day again, or move visits one by one"
        raise InputError([Fault("plan", f"it cannot be kept as a plan ({breaches[0]})", right)])
    return day, made


def _settled(visit: Visit, placed: PlacedVisit | None) -> Visit:
    """The visit with what was fixed of it where it is now; nothing where it has no place."""
    if visit.fixed is None:
        return visit
    if placed is None:
        return replace(visit, fixed=None)
    parts = tuple(
        replace(
            fixed,
            start=None if fixed.start is None else one.start,
            unit=None if fixed.unit is None else one.unit,
            place=None if fixed.place is None else one.place,
            bay=None if fixed.bay is None else one.bay,
            channels=None if fixed.channels is None else one.channels,
            items=None if fixed.items is None else one.items,
        )
        for fixed, one in zip(visit.fixed.parts, placed.parts, strict=False)
    )
    given = visit.fixed.therapist_given
    therapist = placed.therapist if given else None
    return replace(visit, fixed=Fixed(therapist=therapist, therapist_given=given, parts=parts))
