"""A unit is at one place at a time, and has the time to be wheeled to the next."""

from collections import defaultdict
from collections.abc import Iterator

from solver.clock import Interval
from solver.names import RuleName
from solver.problem import Day
from solver.schedule import Plan
from solver.stays import Stay, stays_of
from solver.verify.breach import Breach
from solver.verify.sweep import close_pairs
from solver.verify.walk import place_name, stay_text, unit_name


class PlaceMoves:
    name: RuleName = "place"

    def check(self, day: Day, plan: Plan) -> Iterator[Breach]:
        stays: dict[str, list[tuple[Interval, Stay]]] = defaultdict(list)
        for stay in stays_of(day, plan):
            if stay.unit in day.unit_by_id and stay.place in day.place_by_id:
                stays[stay.unit].append((stay.interval, stay))
        for unit, spans in stays.items():
            if len({stay.place for _, stay in spans}) == 1:
                continue
            for one, other in close_pairs(spans, day.move_min):
                if one.place != other.place:
                    ways = " and ".join(f"{stay_text(stay)} at {place_name(day, stay.place)}" for stay in (one, other))
                    text = f"{unit_name(day, unit)} needs {day.move_min} minutes to move between {ways}"
                    yield Breach(self.name, text)
