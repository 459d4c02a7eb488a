"""Visits for which the clinic has nothing at all: no other plan, and no rule set aside, could place them."""

from collections.abc import Iterator

from solver.clock import DAY_MIN
from solver.problem import Day
from solver.schedule import Reason
from solver.visits import Visit


def impossible(day: Day, visit: Visit) -> Iterator[Reason]:
    """Why the visit could not be placed even if it were alone in the day and asked for nothing special."""
    minutes = visit.minutes
    if minutes > DAY_MIN:
        yield Reason(rule="hours", text=f"its parts take {minutes} minutes, more than a day has")
    if not any(place.bays for place in day.places):
        yield Reason(rule="unit", text="the clinic has no place for a unit to stand at")
    if not day.staff and any(phase.hands != "nobody" for part in visit.parts for phase in part.phases):
        yield Reason(rule="hands", text="nobody is on the clinic's staff")
