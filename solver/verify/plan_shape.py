"""Whether a plan is of this day at all: its visits, parts and phases, and what its status lets it hold.

What every other check relies on. ``sound`` is the part of a plan whose shape is right, which can still be judged.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

from solver.problem import Day
from solver.schedule import PlacedVisit, Plan
from solver.verify.breach import Breach


def check_shape(day: Day, plan: Plan) -> Iterator[Breach]:
    for text in _texts(day, plan):
        yield Breach("shape", text)


def sound(day: Day, plan: Plan) -> Plan:
    """The plan with only those visits that the day has, that it gives once, and whose parts and phases are right."""
    times = _times(plan)
    return replace(
        plan,
        visits=tuple(visit for visit in plan.visits if times[visit.id] == 1 and not any(_parts(day, visit))),
        left_out=tuple(left for left in plan.left_out if times[left.id] == 1 and left.id in day.visit_by_id),
    )


def complete(day: Day, plan: Plan) -> bool:
    """True where the visits are all there, each once and in shape, so that the aims can be counted."""
    whole = sound(day, plan)
    given = len(whole.visits) + len(whole.left_out)
    return given == len(day.visits) == len(plan.visits) + len(plan.left_out)


def _texts(day: Day, plan: Plan) -> Iterator[str]:
    if plan.date != day.date:
        yield f"the plan is of {plan.date}, but the day is {day.date}"
    if plan.status == "infeasible":
        yield from _infeasible(day, plan)
        return
    if plan.conflict:
        yield f"a {plan.status} plan has no conflict"
    times = _times(plan)
    for id, count in times.items():
        if id not in day.visit_by_id:
            yield f"there is no visit {id!r} in the day"
        elif count > 1:
            yield f"{id} is given {count} times; once is right, either placed or left out"
    for visit in day.visits:
        if visit.id not in times:
            yield f"{visit.id} is neither placed nor left out"
    for placed in plan.visits:
        if placed.id in day.visit_by_id:
            yield from _parts(day, placed)
    for left in plan.left_out:
        if not left.reasons:
            yield f"{left.id} is left out without a reason"


def _infeasible(day: Day, plan: Plan) -> Iterator[str]:
    for key, given in (
        ("visits", plan.visits),
        ("left_out", plan.left_out),
        ("breaks", plan.breaks),
        ("scores", plan.scores),
        ("bounds", plan.bounds),
    ):
        if given:
            yield f"an infeasible plan has empty {key}"
    if not plan.conflict:
        yield "an infeasible plan names the conflict that makes it so"
    for clash in plan.conflict:
        if clash.id not in day.visit_by_id and clash.id not in day.staff_by_id:
            yield f"the conflict names {clash.id!r}, which is neither a visit nor a staff member of the day"


def _times(plan: Plan) -> Counter[str]:
    return Counter([*(visit.id for visit in plan.visits), *(left.id for left in plan.left_out)])


def _parts(day: Day, placed: PlacedVisit) -> Iterator[str]:
    visit = day.visit_by_id.get(placed.id)
    if visit is None:
        yield f"there is no visit {placed.id!r} in the day"
        return
    wanted, given = [part.id for part in visit.parts], [part.id for part in placed.parts]
    if wanted != given:
        yield f"{placed.id} has the parts {', '.join(given) or 'none'}; right is {', '.join(wanted)}, in this order"
        return
    for part, placed_part in zip(visit.parts, placed.parts, strict=True):
        if len(placed_part.hands) != len(part.phases):
            yield (
                f"{placed.id} part {part.id} has {len(placed_part.hands)} entries of hands; "
                f"right is one for each of its {len(part.phases)} phases"
            )
