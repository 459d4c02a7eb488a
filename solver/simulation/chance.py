"""What chance does to one run of a day: who misses, who is late, which phases take longer."""

from dataclasses import dataclass
from math import floor, log, log1p
from random import Random

from solver.simulation.layout import Layout
from solver.simulation.settings import Settings


@dataclass(frozen=True, slots=True)
class Chance:
    """``missed`` and ``late`` (minutes) for each visit of the layout, ``longer`` (minutes) for each of its tasks."""

    missed: list[bool]
    late: list[int]
    longer: list[int]


def block_random(seed: int, block: int) -> Random:
    """The random numbers of one block of runs: the same whoever runs it, and whatever was run before."""
    return Random(f"{seed} {block}")


def draw(layout: Layout, settings: Settings, random: Random) -> Chance:
    """The chance of the next run.

    It takes the same count of random numbers whatever the settings are, so that two runs of one seed with different
    settings differ in nothing else.
    """
    missed, late = [], []
    for _ in layout.visits:
        missed.append(random.random() < settings.missed_share)
        late.append(_minutes(settings.late_share, settings.late_mean, random))
    longer = []
    for task in layout.tasks:
        minutes = _minutes(settings.overrun_share, settings.overrun_mean, random)
        longer.append(minutes if task.may_overrun else 0)
    return Chance(missed, late, longer)


def _minutes(share: float, mean: float, random: Random) -> int:
    """0, or with the chance ``share`` a whole number of minutes from 1 up, geometric with the mean given."""
    happens, how_long = random.random(), random.random()
    if happens >= share:
        return 0
    return 1 if mean == 1 else 1 + floor(log(1 - how_long) / log1p(-1 / mean))
