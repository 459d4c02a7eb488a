"""How much of each resource the clinic has at a minute."""

from collections.abc import Mapping, Sequence

from solver.clinic import Unit
from solver.columns.demand import Resource
from solver.columns.staffing import Crew
from solver.problem import Day


class Capacity:
    def __init__(self, day: Day, crews: Sequence[Crew], watches: Mapping[str, tuple[int, int]]) -> None:
        self.day = day
        self.crews = crews
        self.watches = watches

    def at(self, resource: Resource, minute: int) -> int:
        match resource:
            case ("channels", frozenset() as units, frozenset() as outputs):
                channels = [channel for unit in self._in_service(units, minute) for channel in unit.channels]
                return sum(not outputs.isdisjoint(channel.drives) for channel in channels)
            case ("patients", frozenset() as units):
                return sum(unit.patients_at_once for unit in self._in_service(units, minute))
            case ("bays", frozenset() as places):
                return sum(len(place.bays) for place in self.day.places if place.id in places)
            case ("pool", str() as pool):
                return len(self.day.applicator_by_id[pool].items)
            case ("crew", int() as crew):
                return self.crews[crew].on_duty(minute)
            case ("staff",):
                return sum(crew.on_duty(minute) for crew in self.crews)
            case _:
                return sum(self.watches[crew.members[0].id][0] * crew.on_duty(minute) for crew in self.crews)

    def _in_service(self, units: frozenset[str], minute: int) -> list[Unit]:
        return [
            unit
            for unit in self.day.units
            if unit.id in units and any(start <= minute < end for start, end in self.day.unit_hours(unit))
        ]
