"""Which stays may have a unit's pump at once: whoever has it alone draws all that it takes."""

from collections.abc import Sequence
from itertools import combinations

from solver.clinic import Unit
from solver.exact.facts import Facts
from solver.exact.hinted import Literal, ReadOff
from solver.exact.model import DayModel, StayModel

Key = tuple[str, int]
MOST_PAIRS = 20
"""With more pairs of stays that may share a pump it takes more time than it saves to say which of them do."""


class Pumping:
    """The pump of one unit, in the model of a day. A stay counts as having it from its first part to its last."""

    def __init__(self, model: DayModel, unit: Unit, stays: Sequence[StayModel]) -> None:
        self.model = model
        self.unit = unit
        self._stays = [stay for stay in stays if _levels(stay)]
        # A patient is in one stay at a time, and a unit's pump at one level.
        self._pairs = [
            (one, other)
            for one, other in combinations(self._stays, 2)
            if one.visit.patient != other.visit.patient and _levels(one) & _levels(other)
        ]
        self._most = self._most_at_once()
        self._beside: dict[Key, list[tuple[Literal, ReadOff]]] = {
            _key(stay): [] for pair in self._pairs for stay in pair
        }

    @property
    def told(self) -> bool:
        """Whether the model is to say who has the pump at once with whom."""
        return len(self._pairs) <= MOST_PAIRS

    def constrain(self) -> None:
        """Add who has the pump at once with whom."""
        if self.told:
            for one, other in self._pairs:
                self._add(one, other)

    def _add(self, one: StayModel, other: StayModel) -> None:
        model = self.model

        def meet(plan: Facts) -> int:
            mine, theirs = (plan.stay_on(self.unit.id, stay.visit.id, stay.parts) for stay in (one, other))
            return int(mine is not None and theirs is not None and mine.meets(theirs))

        literal = model.boolean(f"{_key(one)} and {_key(other)} pump at once on {self.unit.id}", meet)
        for stay, its_end in ((one, other.end), (other, one.end)):
            model.cp.add_implication(literal, stay.on_unit[self.unit.id])
            model.cp.add(stay.start + 1 <= its_end).only_enforce_if(literal)
        for stay in (one, other):
            self._beside[_key(stay)].append((literal, meet))

    def beside(self, stay: StayModel) -> list[Literal]:
        """A literal for each other stay, that both have the pump at once."""
        return [literal for literal, _ in self._beside.get(_key(stay), ())]

    def shares(self, plan: Facts, stay: StayModel) -> bool:
        """Whether the stay shares the pump in the plan."""
        return any(meet(plan) for _, meet in self._beside.get(_key(stay), ()))

    def most_with(self, stay: StayModel) -> int:
        """No more stays than this have the pump at once where this one has it."""
        return self._most if _key(stay) in self._beside else 1

    def _most_at_once(self) -> int:
        """As many as there are patients at once, and channels for an output that every part with suction drives."""
        parts = [stay.visit.parts[i] for stay in self._stays for i in stay.parts]
        pumped = [part.channels for part in parts if part.suction_kpa is not None]
        driving = [
            sum(output in channel.drives for channel in self.unit.channels)
            for output in (pumped[0] if pumped else ())
            if all(output in channels for channels in pumped)
        ]
        return max(1, min([self.unit.patients_at_once, *driving]))


def _key(stay: StayModel) -> Key:
    return stay.visit.id, stay.number


def _levels(stay: StayModel) -> set[int]:
    """The levels that the stay wants suction at."""
    return {level for i in stay.parts if (level := stay.visit.parts[i].suction_kpa) is not None}
