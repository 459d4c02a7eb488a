"""One stay in a bay at a time, and time to make it ready before another visit's stay."""

from collections import defaultdict
from collections.abc import Iterator

from solver.clock import Interval
from solver.names import RuleName
from solver.problem import Day
from solver.schedule import Plan
from solver.stays import Stay, stays_of
from solver.verify.breach import Breach
from solver.verify.sweep import close_pairs
from solver.verify.walk import stay_text


class Bay:
    name: RuleName = "bay"

    def check(self, day: Day, plan: Plan) -> Iterator[Breach]:
        known = {bay for place in day.places for bay in place.bays}
        stays: dict[str, list[tuple[Interval, Stay]]] = defaultdict(list)
        for stay in stays_of(day, plan):
            if stay.bay in known:
                stays[stay.bay].append((stay.interval, stay))
        for bay, spans in stays.items():
            for one, other in close_pairs(spans, day.bay_turnover_min):
                both = f"{stay_text(one)} and {stay_text(other)}"
                if one.interval.meets(other.interval):
                    yield Breach(self.name, f"{both} are in bay {bay} at the same time")
                elif one.visit.id != other.visit.id:
                    text = f"bay {bay} needs {day.bay_turnover_min} minutes to be made ready between {both}"
                    yield Breach(self.name, text)
