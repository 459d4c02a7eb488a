"""The rule ``place``: a unit is at one place at a time, and takes time to move."""

from itertools import combinations

from solver.clinic import Unit
from solver.exact.model import DayModel
from solver.exact.whereabouts import Whereabouts
from solver.names import RuleName


class PlaceRule:
    """Slot by slot where the model has the other rules, so that stays begin on the grid; pair by pair elsewhere."""

    name: RuleName = "place"

    def constrain(self, model: DayModel) -> None:
        for unit in model.day.units:
            if model.without:
                self._keep_pairs_apart(model, unit)
            elif len(unit.places) > 1:
                model.whereabouts[unit.id] = Whereabouts(model, unit)
                model.whereabouts[unit.id].constrain()

    def _keep_pairs_apart(self, model: DayModel, unit: Unit) -> None:
        for one, other in combinations(model.stays_on(unit.id), 2):
            for (u, place), literal in one.at.items():
                for (v, elsewhere), other_literal in other.at.items():
                    if u == v == unit.id and place != elsewhere:
                        model.cp.add_no_overlap(
                            [
                                model.stay_interval(one, literal, model.day.move_min),
                                model.stay_interval(other, other_literal, model.day.move_min),
                            ]
                        )
