"""Where a visit can be added to a plan with no visit and no break in it changed: exactly."""

from solver.masks.bits import minutes_of
from solver.offering.loaded import LoadedPlan
from solver.problem import Day
from solver.schedule import PlacedVisit, Plan
from solver.visits import Visit


def offers(day: Day, plan: Plan, visit: Visit) -> list[PlacedVisit]:
    """The best way to add the visit at each start (minutes from midnight) at which it can be added, by time.

    A start is among them if, and only if, some choice of waits, units, places, bays, channels, items and staff gives a
    plan in which ``verify`` names no rule. The best is what adds least to the day's aims, in their order; of those,
    what does least harm to what else could still be booked (``solver/offering/preference.py``).
    The visit need not be one of the day's. If the plan has one of its id, that one is taken out first; what the day has
    fixed of it is kept unless the visit given fixes something itself.
    Raises InputError with a fault for each broken rule where the plan is not right for the day.
    """
    return offers_in(LoadedPlan(day, plan), visit)


def offers_in(loaded: LoadedPlan, visit: Visit) -> list[PlacedVisit]:
    """The same for a plan that is loaded."""
    with loaded.without(visit) as openings:
        found = (openings.best(start) for start in minutes_of(openings.possible()))
        return [placed for placed in found if placed is not None]


def possible_starts(loaded: LoadedPlan, visit: Visit) -> int:
    """The same starts alone, as a set of minutes (``solver/masks/bits.py``)."""
    with loaded.without(visit) as openings:
        return openings.possible()
