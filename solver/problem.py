"""The day file as one type: everything a plan must respect, for one clinic on one day.

A Day checks itself as it is built and raises InputError with every fault it finds, so a Day that exists is right.
Frozen: to change a day, build another one (``dataclasses.replace``).
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Protocol, TypeVar

from solver.checks import filled, interval, listed, repeated, whole
from solver.clinic import Applicator, Place, StaffMember, Unit
from solver.clock import Interval
from solver.errors import Fault, refuse_if
from solver.names import AIMS, AimName
from solver.references import reference_faults
from solver.schedule import PlacedVisit
from solver.visits import Part, Visit

STEPS = (1, 5, 10, 15)


class _Identified(Protocol):
    @property
    def id(self) -> str: ...


_Thing = TypeVar("_Thing", bound=_Identified)


def _by_id(things: Iterable[_Thing]) -> Mapping[str, _Thing]:
    return {thing.id: thing for thing in things}


@dataclass(frozen=True, kw_only=True)
class Day:
    """One day of one clinic: all that decides whether a plan is right."""

    date: date
    open: int
    close: int
    units: tuple[Unit, ...]
    applicators: tuple[Applicator, ...]
    places: tuple[Place, ...]
    staff: tuple[StaffMember, ...]
    visits: tuple[Visit, ...]
    step_min: int = 5
    move_min: int = 0
    bay_turnover_min: int = 0
    published: tuple[PlacedVisit, ...] = ()
    aims: tuple[AimName, ...] = AIMS

    def __post_init__(self) -> None:
        faults = [
            *interval("close", Interval(self.open, self.close)),
            *whole("move_min", self.move_min),
            *whole("bay_turnover_min", self.bay_turnover_min),
            *filled("units", self.units, "unit"),
        ]
        if self.step_min not in STEPS:
            faults.append(Fault("step_min", f"{self.step_min} is no step", "give 1, 5, 10 or 15"))
        faults += [
            Fault(f"aims[{i}]", f"{aim!r} is no aim", f"give {', '.join(AIMS)}")
            for i, aim in enumerate(self.aims)
            if aim not in AIMS
        ]
        faults += [
            *repeated(listed("aims", self.aims)),
            *repeated(listed("published", [visit.id for visit in self.published], ".id")),
            *reference_faults(self.units, self.applicators, self.places, self.staff, self.visits),
        ]
        refuse_if(faults)

    @property
    def open_interval(self) -> Interval:
        return Interval(self.open, self.close)

    def unit_hours(self, unit: Unit) -> tuple[Interval, ...]:
        return (self.open_interval,) if unit.hours is None else unit.hours

    def visit_free(self, visit: Visit) -> tuple[Interval, ...]:
        return (self.open_interval,) if visit.free is None else visit.free

    @cached_property
    def unit_by_id(self) -> Mapping[str, Unit]:
        return _by_id(self.units)

    @cached_property
    def applicator_by_id(self) -> Mapping[str, Applicator]:
        return _by_id(self.applicators)

    @cached_property
    def place_by_id(self) -> Mapping[str, Place]:
        return _by_id(self.places)

    @cached_property
    def staff_by_id(self) -> Mapping[str, StaffMember]:
        return _by_id(self.staff)

    @cached_property
    def visit_by_id(self) -> Mapping[str, Visit]:
        return _by_id(self.visits)

    @cached_property
    def published_by_id(self) -> Mapping[str, PlacedVisit]:
        return _by_id(self.published)

    def unit_may(self, part: Part, unit: Unit) -> bool:
        """True where the part allows the unit and the unit fits every applicator of the part."""
        if part.units is not None and unit.id not in part.units:
            return False
        pools = (self.applicator_by_id[id] for id in part.applicators)
        return all(pool.fits is None or unit.id in pool.fits for pool in pools)
