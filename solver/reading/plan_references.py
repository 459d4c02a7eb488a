"""Names in a plan that its day does not have: such a plan cannot be counted."""

from collections.abc import Collection, Iterator

from solver.errors import Fault
from solver.problem import Day
from solver.schedule import PlacedPart, Plan


def unknown_names(day: Day, plan: Plan) -> list[Fault]:
    """One fault for each unknown unit, place, bay, channel, applicator, item or staff id of the plan."""
    staff = day.staff_by_id.keys()
    faults: list[Fault] = []
    for i, visit in enumerate(plan.visits):
        where = f"visits[{i}]"
        faults += _unknown(f"{where}.therapist", visit.therapist, staff, "staff member")
        for j, part in enumerate(visit.parts):
            faults += [fault.under(f"{where}.parts[{j}]") for fault in _part(day, part)]
    for i, placed in enumerate(plan.breaks):
        faults += _unknown(f"breaks[{i}].staff", placed.staff, staff, "staff member")
    return faults


def _part(day: Day, part: PlacedPart) -> Iterator[Fault]:
    unit, place = day.unit_by_id.get(part.unit), day.place_by_id.get(part.place)
    yield from _unknown("unit", part.unit, day.unit_by_id.keys(), "unit")
    yield from _unknown("place", part.place, day.place_by_id.keys(), "place")
    if place is not None:
        yield from _unknown("bay", part.bay, place.bays, f"bay of {place.id!r}")
    if unit is not None:
        channels = [channel.id for channel in unit.channels]
        for output, ids in part.channels.items():
            for k, id in enumerate(ids):
                yield from _unknown(f"channels.{output}[{k}]", id, channels, f"channel of {unit.id!r}")
    for pool_id, ids in part.items.items():
        pool = day.applicator_by_id.get(pool_id)
        yield from _unknown(f"items.{pool_id}", pool_id, day.applicator_by_id.keys(), "applicator")
        for k, id in enumerate(ids if pool is not None else ()):
            yield from _unknown(f"items.{pool_id}[{k}]", id, pool.items if pool else (), f"item of {pool_id!r}")
    for k, member in enumerate(part.hands):
        yield from _unknown(f"hands[{k}]", member, day.staff_by_id.keys(), "staff member")


def _unknown(where: str, id: str | None, known: Collection[str], kind: str) -> list[Fault]:
    if id is None or id in known:
        return []
    return [Fault(where, f"the day has no {kind} {id!r}", "give a plan of this day")]
