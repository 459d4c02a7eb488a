"""A part's unit is one that may treat it, stands at a place that it may stand at, and the bay is in that place."""

from collections.abc import Iterator

from solver.names import RuleName
from solver.problem import Day
from solver.schedule import Plan
from solver.verify.breach import Breach
from solver.verify.walk import PartAt, parts_of, place_name, unit_name


class UnitFits:
    name: RuleName = "unit"

    def check(self, day: Day, plan: Plan) -> Iterator[Breach]:
        for at in parts_of(day, plan):
            for text in (*self._unit(day, at), *self._place(day, at), *self._one_stay(day, at)):
                yield Breach(self.name, text)

    def _unit(self, day: Day, at: PartAt) -> Iterator[str]:
        unit = day.unit_by_id.get(at.placed.unit)
        if unit is None:
            yield f"{at}: there is no unit {at.placed.unit!r}"
            return
        if at.part.units is not None and unit.id not in at.part.units:
            allowed = ", ".join(unit_name(day, id) for id in at.part.units) or "none"
            yield f"{at}: {unit.name} is not allowed, only {allowed}"
        for id in at.part.applicators:
            pool = day.applicator_by_id[id]
            if pool.fits is not None and unit.id not in pool.fits:
                yield f"{at}: {pool.name} does not fit {unit.name}"
        if at.placed.place in day.place_by_id and at.placed.place not in unit.places:
            yield f"{at}: {unit.name} may not stand at {place_name(day, at.placed.place)}"

    def _place(self, day: Day, at: PartAt) -> Iterator[str]:
        place = day.place_by_id.get(at.placed.place)
        if place is None:
            yield f"{at}: there is no place {at.placed.place!r}"
            return
        missing = [tag for tag in at.visit.place_tags if tag not in place.tags]
        if missing:
            yield f"{at}: {place.name} is not {', '.join(missing)}"
        if at.placed.bay not in place.bays:
            yield f"{at}: there is no bay {at.placed.bay!r} at {place.name}"

    def _one_stay(self, day: Day, at: PartAt) -> Iterator[str]:
        first = at.placed_visit.parts[0]
        here, there = (at.placed.unit, at.placed.place, at.placed.bay), (first.unit, first.place, first.bay)
        if at.visit.same_unit and here != there:
            yield f"{at} is on {self._where(day, here)}, but the visit's first part is on {self._where(day, there)}"

    def _where(self, day: Day, where: tuple[str, str, str]) -> str:
        unit, place, bay = where
        return f"{unit_name(day, unit)} at {place_name(day, place)}, bay {bay}"
