"""The batteries of a day's units, with the stays that a plan has on them."""

from collections.abc import Sequence

from solver.clinic import Battery
from solver.masks.charge import Charge, Draw
from solver.masks.energy import Load, keeps_reserve
from solver.problem import Day
from solver.sites import Site


class Batteries:
    """What is reckoned about one is forgotten as soon as a stay on its unit comes or goes."""

    def __init__(self, day: Day) -> None:
        self._open, self._move = day.open, day.move_min
        self.loads: dict[str, dict[str, list[Load]]] = {unit.id: {} for unit in day.units}
        """What each visit asks of each unit's battery."""
        self._kept: dict[str, Battery] = {
            unit.id: unit.battery for unit in day.units if unit.battery is not None and unit.battery.reserve_wmin > 0
        }
        self._charges: dict[str, Charge] = {}
        self._unmoved: dict[str, Charge] = {}
        self._together: dict[str, dict[tuple[Load, ...], bool]] = {}

    def add(self, visit: str, unit: str, load: Load) -> None:
        self.loads[unit].setdefault(visit, []).append(load)
        self._forget(unit)

    def remove(self, visit: str, unit: str) -> None:
        self.loads[unit].pop(visit, None)
        self._forget(unit)

    def _forget(self, unit: str) -> None:
        self._charges.pop(unit, None)
        self._unmoved.pop(unit, None)
        self._together.pop(unit, None)

    def matters(self, unit: str) -> bool:
        """True where the unit's battery has a reserve to keep."""
        return unit in self._kept

    def lasting(self, site: Site, draw: Draw, starts: int) -> int:
        """Those of the starts at which one more stay at the site leaves its unit's battery enough all day."""
        unit = site.unit.id
        if not starts or unit not in self._kept:
            return starts
        return self._charge_of(unit).lasting(site.place.id, draw, starts)

    def promising(self, site: Site, draw: Draw, starts: int) -> int:
        """Those at which it would last if moving took no time: there alone can it last with still further stays.

        A further stay draws and stands in the way of charging; it helps by no more than the moves that it saves.
        """
        unit = site.unit.id
        if not starts or unit not in self._kept:
            return starts
        found = self._unmoved.get(unit)
        if found is None:
            found = self._unmoved[unit] = Charge(self._kept[unit], self._open, 0, self._present(unit))
        return found.lasting(site.place.id, draw, starts)

    def lasts(self, unit: str) -> bool:
        """True where the unit's battery keeps its reserve with its present stays."""
        return unit not in self._kept or self._charge_of(unit).lasts

    def last(self, unit: str, further: Sequence[Load]) -> bool:
        """True where it keeps its reserve with its present stays and the further ones."""
        if unit not in self._kept:
            return True
        key, known = tuple(further), self._together.setdefault(unit, {})
        found = known.get(key)
        if found is None:
            loads = [*self._present(unit), *further]
            found = known[key] = keeps_reserve(self._kept[unit], self._open, self._move, loads)
        return found

    def _charge_of(self, unit: str) -> Charge:
        found = self._charges.get(unit)
        if found is None:
            charge = Charge(self._kept[unit], self._open, self._move, self._present(unit))
            found = self._charges[unit] = charge
        return found

    def _present(self, unit: str) -> list[Load]:
        return [load for loads in self.loads[unit].values() for load in loads]
