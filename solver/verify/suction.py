"""A unit has one pump: parts that overlap on it and need suction need the same level."""

from collections import defaultdict
from collections.abc import Iterator

from solver.clock import Interval
from solver.names import RuleName
from solver.problem import Day
from solver.schedule import Plan
from solver.verify.breach import Breach
from solver.verify.sweep import close_pairs
from solver.verify.walk import PartAt, parts_of, unit_name


class Suction:
    name: RuleName = "suction"

    def check(self, day: Day, plan: Plan) -> Iterator[Breach]:
        pumps: dict[str, list[tuple[Interval, PartAt]]] = defaultdict(list)
        for at in parts_of(day, plan):
            if at.part.suction_kpa is not None and at.placed.unit in day.unit_by_id:
                pumps[at.placed.unit].append((at.interval, at))
        for unit, spans in pumps.items():
            for one, other in close_pairs(spans):
                if one.part.suction_kpa != other.part.suction_kpa:
                    levels = " and ".join(f"{at} with {at.part.suction_kpa} kPa" for at in (one, other))
                    yield Breach(self.name, f"{levels} overlap on {unit_name(day, unit)}")
