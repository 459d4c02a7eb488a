"""Faults between the lists of a day file: an id used twice in its list, a reference to an id that does not exist."""

from collections.abc import Collection, Iterable, Sequence

from solver.checks import repeated
from solver.clinic import Applicator, Place, StaffMember, Unit
from solver.errors import Fault
from solver.visits import FixedPart, Visit


def reference_faults(
    units: Sequence[Unit],
    applicators: Sequence[Applicator],
    places: Sequence[Place],
    staff: Sequence[StaffMember],
    visits: Sequence[Visit],
) -> list[Fault]:
    """Every repeated id and every dangling reference of a day, in the order of the day file."""
    unit_ids = [unit.id for unit in units]
    pool_ids = [pool.id for pool in applicators]
    place_ids = [place.id for place in places]
    staff_ids = [member.id for member in staff]
    faults = [
        *repeated("units", unit_ids),
        *repeated("applicators", pool_ids),
        *repeated("applicators[].items", [item for pool in applicators for item in pool.items]),
        *repeated("places", place_ids),
        *repeated("places[].bays", [bay for place in places for bay in place.bays]),
        *repeated("staff", staff_ids),
        *repeated("visits", [visit.id for visit in visits]),
    ]
    for i, unit in enumerate(units):
        faults += _listed(f"units[{i}].places", unit.places, place_ids, "place")
    for i, pool in enumerate(applicators):
        faults += _listed(f"applicators[{i}].fits", pool.fits or (), unit_ids, "unit")
    for i, visit in enumerate(visits):
        where = f"visits[{i}]"
        faults += _known(f"{where}.therapist_wish", visit.therapist_wish, staff_ids, "staff member")
        faults += _known(f"{where}.therapist_must", visit.therapist_must, staff_ids, "staff member")
        for j, part in enumerate(visit.parts):
            faults += _listed(f"{where}.parts[{j}].units", part.units or (), unit_ids, "unit")
            for pool_id in part.applicators:
                faults += _known(f"{where}.parts[{j}].applicators", pool_id, pool_ids, "applicator")
        if visit.fixed is not None:
            faults += _known(f"{where}.fixed.therapist", visit.fixed.therapist, staff_ids, "staff member")
            for j, fixed in enumerate(visit.fixed.parts):
                faults += _fixed(f"{where}.fixed.parts[{j}]", fixed, units, applicators, places)
    return faults


def _fixed(
    where: str,
    fixed: FixedPart,
    units: Sequence[Unit],
    applicators: Sequence[Applicator],
    places: Sequence[Place],
) -> list[Fault]:
    bays = [bay for place in places for bay in place.bays]
    faults = [
        *_known(f"{where}.unit", fixed.unit, [unit.id for unit in units], "unit"),
        *_known(f"{where}.place", fixed.place, [place.id for place in places], "place"),
        *_known(f"{where}.bay", fixed.bay, bays, "bay"),
    ]
    channels = [channel.id for unit in units if fixed.unit in (None, unit.id) for channel in unit.channels]
    for output, ids in (fixed.channels or {}).items():
        if fixed.unit is None or any(unit.id == fixed.unit for unit in units):
            faults += _listed(f"{where}.channels.{output}", ids, channels, "channel")
    for pool_id, ids in (fixed.items or {}).items():
        pool = next((pool for pool in applicators if pool.id == pool_id), None)
        if pool is None:
            faults += _known(f"{where}.items", pool_id, [pool.id for pool in applicators], "applicator")
        else:
            faults += _listed(f"{where}.items.{pool_id}", ids, pool.items, "item")
    return faults


def _listed(where: str, ids: Sequence[str], known: Collection[str], kind: str) -> list[Fault]:
    dangling = [fault for i, id in enumerate(ids) for fault in _known(f"{where}[{i}]", id, known, kind)]
    return [*dangling, *repeated(where, ids)]


def _known(where: str, id: str | None, known: Collection[str], kind: str) -> list[Fault]:
    if id is None or id in known:
        return []
    return [Fault(where, f"there is no {kind} {id!r}", f"give the id of one of: {_some(known)}")]


def _some(ids: Iterable[str], most: int = 8) -> str:
    listed = list(ids)
    shown = ", ".join(repr(id) for id in listed[:most]) or "(there are none)"
    return shown if len(listed) <= most else f"{shown} and {len(listed) - most} more"
