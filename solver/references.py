"""Faults between the lists of a day file: an id used twice in its list, a reference to an id that does not exist."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from solver.checks import listed, repeated
from solver.clinic import Applicator, Place, StaffMember, Unit
from solver.errors import Fault
from solver.unread import Unread
from solver.visits import FixedPart, Visit


def reference_faults(
    units: Sequence[Unit],
    applicators: Sequence[Applicator],
    places: Sequence[Place],
    staff: Sequence[StaffMember],
    visits: Sequence[Visit],
) -> list[Fault]:
    """Every repeated id and every dangling reference of a day. References to a list with an unread id are let pass."""
    known = _Clinic.of(units, applicators, places, staff)
    faults = [
        *repeated(listed("units", [unit.id for unit in units], ".id")),
        *repeated(listed("applicators", [pool.id for pool in applicators], ".id")),
        *repeated(use for i, pool in enumerate(applicators) for use in listed(f"applicators[{i}].items", pool.items)),
        *repeated(listed("places", [place.id for place in places], ".id")),
        *repeated(use for i, place in enumerate(places) for use in listed(f"places[{i}].bays", place.bays)),
        *repeated(listed("staff", [member.id for member in staff], ".id")),
        *repeated(listed("visits", [visit.id for visit in visits], ".id")),
    ]
    for i, unit in enumerate(units):
        faults += known.places.list_faults(f"units[{i}].places", unit.places)
    for i, pool in enumerate(applicators):
        faults += known.units.list_faults(f"applicators[{i}].fits", pool.fits or ())
    for i, visit in enumerate(visits):
        faults += [fault.under(f"visits[{i}]") for fault in _visit_faults(visit, known)]
    return faults


def visit_reference_faults(
    units: Sequence[Unit],
    applicators: Sequence[Applicator],
    places: Sequence[Place],
    staff: Sequence[StaffMember],
    visit: Visit,
) -> list[Fault]:
    """Every dangling reference of one visit to a clinic whose own references are right."""
    return _visit_faults(visit, _Clinic.of(units, applicators, places, staff))


class _Known:
    """The ids of one kind that a reference may name."""

    def __init__(self, kind: str, ids: Sequence[str]) -> None:
        self.kind = kind
        self.ids = frozenset(ids)
        self.all_read = not any(isinstance(id, Unread) for id in ids)
        shown = ", ".join(repr(id) for id in ids[:8]) or "(there are none)"
        self.right = f"give the id of one of: {shown}" + (f" and {len(ids) - 8} more" if len(ids) > 8 else "")

    def faults(self, where: str, id: str | None) -> list[Fault]:
        if id is None or id in self.ids or isinstance(id, Unread) or not self.all_read:
            return []
        return [Fault(where, f"there is no {self.kind} {id!r}", self.right)]

    def list_faults(self, where: str, ids: Sequence[str]) -> list[Fault]:
        uses = listed(where, ids)
        return [*(fault for use in uses for fault in self.faults(*use)), *repeated(uses)]


@dataclass(frozen=True, slots=True)
class _Clinic:
    """The ids of every kind; ``channels`` by unit and ``items`` by applicator."""

    units: _Known
    applicators: _Known
    places: _Known
    bays: _Known
    staff: _Known
    channels: Mapping[str, _Known]
    any_channel: _Known
    items: Mapping[str, _Known]

    @classmethod
    def of(
        cls,
        units: Sequence[Unit],
        applicators: Sequence[Applicator],
        places: Sequence[Place],
        staff: Sequence[StaffMember],
    ) -> "_Clinic":
        return cls(
            units=_Known("unit", [unit.id for unit in units]),
            applicators=_Known("applicator", [pool.id for pool in applicators]),
            places=_Known("place", [place.id for place in places]),
            bays=_Known("bay", [bay for place in places for bay in place.bays]),
            staff=_Known("staff member", [member.id for member in staff]),
            channels=_inside("channel", [(unit.id, [channel.id for channel in unit.channels]) for unit in units]),
            any_channel=_Known("channel", [channel.id for unit in units for channel in unit.channels]),
            items=_inside("item", [(pool.id, pool.items) for pool in applicators]),
        )


def _inside(kind: str, pairs: Sequence[tuple[str, Sequence[str]]]) -> Mapping[str, _Known]:
    """The ids inside each owner; where two owners share an id, which is a fault of its own, those of both."""
    ids: dict[str, list[str]] = {}
    for owner, inner in pairs:
        ids.setdefault(owner, []).extend(inner)
    return {owner: _Known(kind, inner) for owner, inner in ids.items()}


def _visit_faults(visit: Visit, known: _Clinic) -> list[Fault]:
    faults = [
        *known.staff.faults("therapist_wish", visit.therapist_wish),
        *known.staff.faults("therapist_must", visit.therapist_must),
    ]
    for j, part in enumerate(visit.parts):
        for pool_id in part.applicators:
            faults += known.applicators.faults(f"parts[{j}].applicators.{pool_id}", pool_id)
        faults += known.units.list_faults(f"parts[{j}].units", part.units or ())
    if visit.fixed is not None:
        faults += known.staff.faults("fixed.therapist", visit.fixed.therapist)
        for j, fixed in enumerate(visit.fixed.parts):
            faults += [fault.under(f"fixed.parts[{j}]") for fault in _fixed_faults(fixed, known)]
    return faults


def _fixed_faults(fixed: FixedPart, known: _Clinic) -> list[Fault]:
    faults = [
        *known.units.faults("unit", fixed.unit),
        *known.places.faults("place", fixed.place),
        *known.bays.faults("bay", fixed.bay),
    ]
    channels = known.any_channel if fixed.unit is None else known.channels.get(fixed.unit)
    for output, ids in (fixed.channels or {}).items():
        where = f"channels.{output}"
        faults += repeated(listed(where, ids)) if channels is None else channels.list_faults(where, ids)
    for pool_id, ids in (fixed.items or {}).items():
        where, items = f"items.{pool_id}", known.items.get(pool_id)
        faults += known.applicators.faults(where, pool_id)
        faults += repeated(listed(where, ids)) if items is None else items.list_faults(where, ids)
    return faults
