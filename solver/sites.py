"""Where a stay may be: units and places."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field

from solver.clinic import Place, Unit
from solver.names import RuleName
from solver.problem import Day
from solver.visits import Visit


@dataclass(frozen=True, slots=True)
class Site:
    """A unit standing at a place."""

    unit: Unit
    place: Place
    key: tuple[str, str] = field(init=False, repr=False, compare=False)
    """Their ids."""

    def __post_init__(self) -> None:
        object.__setattr__(self, "key", (self.unit.id, self.place.id))


def allowed_sites(day: Day, visit: Visit, stay: Sequence[int], without: Collection[RuleName] = ()) -> list[Site]:
    """Every unit and place that the parts of the stay and the visit's tags allow: the rule ``unit``."""
    if "unit" in without:
        return [Site(unit, place) for unit in day.units for place in day.places]
    parts = [visit.parts[i] for i in stay]
    tagged = {place.id: place for place in day.places if set(visit.place_tags).issubset(place.tags)}
    return [
        Site(unit, tagged[place])
        for unit in day.units
        if all(day.unit_may(part, unit) for part in parts)
        for place in unit.places
        if place in tagged
    ]
