"""The rule ``suction``: parts that overlap on a unit have the same suction level."""

from itertools import combinations

from solver.exact.model import DayModel
from solver.names import RuleName


class SuctionRule:
    name: RuleName = "suction"

    def constrain(self, model: DayModel) -> None:
        for unit in model.day.units:
            parts = [
                (part.suction_kpa, model.part_interval(visit, i, model.on_unit(visit.id, i)[unit.id]))
                for visit, i, part in model.all_parts()
                if part.suction_kpa is not None and unit.id in model.on_unit(visit.id, i)
            ]
            for (level, one), (other_level, other) in combinations(parts, 2):
                if level != other_level:
                    model.cp.add_no_overlap([one, other])
