"""The rule ``patients``: no more stays on a unit at once than it takes patients."""

from solver.exact.held import Held
from solver.exact.model import DayModel
from solver.names import RuleName


class PatientsRule:
    name: RuleName = "patients"

    def constrain(self, model: DayModel) -> None:
        for unit in model.day.units:
            stays = [
                Held(model.stay_interval(stay, stay.on_unit[unit.id]), 1, stay.visit.id)
                for stay in model.stays_on(unit.id)
            ]
            model.at_most(unit.patients_at_once, stays)
