"""The outline of a placed visit: as much of it as the aims look at."""

from typing import NamedTuple

from solver.schedule import PlacedVisit
from solver.visits import Visit


class Outline(NamedTuple):
    """When a visit starts and ends (minutes from midnight), its first part's unit, its therapist, its waits in all."""

    start: int
    end: int
    unit: str
    therapist: str | None
    wait: int


def outline_of(visit: Visit, placed: PlacedVisit) -> Outline:
    start = placed.parts[0].start
    end = placed.parts[-1].start + visit.parts[-1].minutes
    wait = end - start - visit.minutes
    return Outline(start, end, placed.parts[0].unit, placed.therapist, wait)
