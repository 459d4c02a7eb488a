"""Where a unit is that stands at several places, slot by slot of the day's grid: at one of them, on its way included.

A stay at a place, and a move after it, keep the unit there. Since stays begin on the grid, a slot in which one of them
ends has room for no other place. To say it pair by pair of stays took hundreds of constraints for each unit.
"""

from collections.abc import Mapping, Sequence
from functools import cached_property, lru_cache

from solver.clinic import Unit
from solver.clock import Interval
from solver.exact.facts import Facts
from solver.exact.hinted import Literal, ReadOff
from solver.exact.model import DayModel
from solver.exact.slots import DaySlots


class Whereabouts:
    """``at``: for each slot of the day a literal for each place, of which one is true."""

    def __init__(self, model: DayModel, unit: Unit) -> None:
        self.model = model
        self.unit = unit
        self._slots = DaySlots(model.day)
        self._stays = model.stays_on(unit.id)
        self._places = lru_cache(maxsize=1)(self._places_in)  # every slot asks about the same plan

    @cached_property
    def at(self) -> Sequence[Mapping[str, Literal]]:
        found = []
        for number in range(self._slots.count):
            literals = {
                place: self.model.boolean(f"{self.unit.id} at {place} in {number}", self._is_at(number, place))
                for place in self.unit.places
            }
            self.model.cp.add_exactly_one(literals.values())
            found.append(literals)
        return found

    def constrain(self) -> None:
        """A stay at a place has the unit there from its start until it may have moved on."""
        cp, move_min, most = self.model.cp, self.model.day.move_min, len(self._stays)
        for place in self.unit.places:
            here = [(stay, stay.at[self.unit.id, place]) for stay in self._stays if (self.unit.id, place) in stay.at]
            intervals = [self.model.stay_interval(stay, literal, move_min) for stay, literal in here]
            elsewhere = [
                cp.new_optional_fixed_size_interval_var(
                    self._slots.start(number), self._slots.minutes, ~literals[place], f"{self.unit.id} not at {place}"
                )
                for number, literals in enumerate(self.at)
            ]
            cp.add_cumulative([*intervals, *elsewhere], [1] * len(intervals) + [most] * len(elsewhere), most)

    def _is_at(self, number: int, place: str) -> ReadOff:
        return lambda plan: int(self._places(plan)[number] == place)

    def _places_in(self, plan: Facts) -> Sequence[str]:
        """What the plan makes of the slots: the unit stays where it is until a stay elsewhere begins."""
        return self._slots.places(sorted(self._there(plan)), self.unit.places[0])

    def _there(self, plan: Facts) -> list[tuple[Interval, str]]:
        found = []
        for stay in self._stays:
            taken = plan.stay_on(self.unit.id, stay.visit.id, stay.parts)
            place = plan.place(stay.visit.id, stay.parts[0])
            if taken is not None and place is not None:
                found.append((taken, place))
        return found
