"""From a plan of the day as it runs to a plan of the day as it is kept, with the minutes that were prescribed."""

from dataclasses import replace

from app.services.floor.reading import Reading
from solver.compose import explained
from solver.errors import Fault, InputError
from solver.problem import Day
from solver.schedule import PlacedVisit, Plan
from solver.verify import verify
from solver.verify.scores import scores_of
from solver.visits import Fixed, Visit


def as_kept(day: Day, plan: Plan, reading: Reading, live: Plan) -> tuple[Day, Plan]:
    """The plan of the day as it is kept: with prescribed minutes, what was started where the plan has it or, where that
    leaves no room for what comes after, where it began.

    Raises InputError with the first rule that neither keeps.
    """
    texts: list[str] = []
    for as_begun in (False, True):
        changed, made = _joined(day, plan, reading, live, as_begun=as_begun)
        breaches = verify(changed, made)
        if not breaches:
            return changed, made
        texts.append(str(breaches[0]))
    right = "plan the day again, or move visits one by one"
    raise InputError([Fault("plan", f"it cannot be kept as a plan ({texts[0]})", right)])


def _joined(day: Day, plan: Plan, reading: Reading, live: Plan, *, as_begun: bool) -> tuple[Day, Plan]:
    old, new = {one.id: one for one in plan.visits}, {one.id: one for one in live.visits}
    placed: dict[str, PlacedVisit] = {}
    for code, before in old.items():
        begun = len(reading.state.visit(code).parts)
        if code not in new:
            if begun or reading.is_over(code) or code not in {one.id for one in live.left_out}:
                placed[code] = before
            continue
        if not begun:
            placed[code] = new[code]
            continue
        first = tuple(
            replace(one, start=new[code].parts[i].start) if as_begun else one
            for i, one in enumerate(before.parts[:begun])
        )
        placed[code] = replace(before, parts=(*first, *new[code].parts[begun:], *before.parts[len(new[code].parts) :]))
    visits = tuple(_unfixed(visit, placed.get(visit.id)) for visit in day.visits)
    day = replace(day, visits=visits)
    reasons = {one.id: one for one in (*plan.left_out, *live.left_out)}
    made = replace(
        plan,
        status="feasible",
        visits=tuple(placed[visit.id] for visit in day.visits if visit.id in placed),
        left_out=tuple(reasons[visit.id] for visit in day.visits if visit.id not in placed),
        breaks=live.breaks,
        bounds=dict.fromkeys(day.aims, 0),
    )
    return day, explained(day, replace(made, scores=scores_of(day, made)))


def _unfixed(visit: Visit, placed: PlacedVisit | None) -> Visit:
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
