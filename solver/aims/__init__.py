"""The aims: what is made small, one class per aim, the same names everywhere.

``cost`` is what one placed visit adds to the aim's score (for ``finish``, where the maximum counts: the score it
reaches alone); ``minimise`` states the aim's score in the exact model.
"""

from collections.abc import Mapping
from typing import TYPE_CHECKING, Protocol

from solver.aims.finish import Finish
from solver.aims.placed import Placed
from solver.aims.stable import Stable
from solver.aims.therapist import TherapistWish
from solver.aims.wait import Wait
from solver.aims.wish import Wish
from solver.names import AimName
from solver.outline import Outline
from solver.problem import Day
from solver.visits import Visit

if TYPE_CHECKING:
    from solver.exact.hinted import Expression
    from solver.exact.model import DayModel

Costs = tuple[int, ...]
"""One figure for each of a day's aims, in their order."""


class Aim(Protocol):
    name: AimName

    def cost(self, day: Day, visit: Visit, outline: Outline) -> int:
        """What the placed visit adds to the score."""

    def minimise(self, model: "DayModel") -> "Expression":
        """The score as an expression of the exact model's variables; never above the plan's true score."""


AIM_CLASSES: Mapping[AimName, Aim] = {
    aim.name: aim for aim in (Placed(), Stable(), Wish(), TherapistWish(), Wait(), Finish())
}


def costs_of(day: Day, visit: Visit, outline: Outline) -> Costs:
    """The visit's cost under each of the day's aims, in their order."""
    return tuple(AIM_CLASSES[name].cost(day, visit, outline) for name in day.aims)
