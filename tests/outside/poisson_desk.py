"""Patients who ask for a start now, on one unit of like channels, through the product's own allocator.

They come as a Poisson stream and are lost where there is no start now. A day is 24 hours, a minute the least time, and
every treatment takes the same minutes: the share that is lost depends on the mean alone.
"""

from itertools import accumulate, takewhile
from math import floor, sqrt
from random import Random
from statistics import mean, stdev
from typing import NamedTuple

from solver.clock import DAY_MIN, Interval
from solver.masks.ledger import Ledger
from solver.masks.offers import best_offer
from solver.visits import Visit
from tests.builders import a_channel, a_day, a_part, a_place, a_unit, a_visit, still

MINUTES = 20
WARM_UP_MIN = 10 * MINUTES
"""The day begins empty; what is asked for so early does not count."""
Z_99 = 2.576


class Interval99(NamedTuple):
    low: float
    high: float


def lost_share(channels: int, erlang: float, days: int, seed: int) -> Interval99:
    """A 99 % interval of the share that is lost, from so many days that know nothing of each other (their ratio)."""
    random = Random(seed)
    counts = [_day(channels, erlang, random) for _ in range(days)]
    asked = [one for one, _ in counts]
    share = sum(lost for _, lost in counts) / sum(asked)
    spread = stdev(lost - share * one for one, lost in counts) / mean(asked) / sqrt(days)
    return Interval99(share - Z_99 * spread, share + Z_99 * spread)


def _day(channels: int, erlang: float, random: Random) -> tuple[int, int]:
    """How many asked after the warm-up, and how many of them were lost."""
    visits = _visits(erlang, random)
    names = [f"s{i}" for i in range(channels)]
    day = a_day(
        *visits,
        open="00:00",
        close="24:00",
        units=[a_unit(channels=[a_channel(name) for name in names], patients_at_once=channels)],
        places=[a_place(bays=[f"B{i}" for i in range(channels)])],
    )
    ledger = Ledger(day)
    asked = lost = 0
    for visit in visits:
        assert visit.free is not None
        placed = best_offer(ledger, visit)
        if placed is not None:
            ledger.add(placed)
        if visit.free[0].start >= WARM_UP_MIN:
            asked += 1
            lost += placed is None
    return asked, lost


def _visits(erlang: float, random: Random) -> list[Visit]:
    gaps = iter(lambda: random.expovariate(erlang / MINUTES), None)
    minutes = [floor(time) for time in takewhile(lambda time: time < DAY_MIN - MINUTES, accumulate(gaps))]
    part = a_part(still(MINUTES))
    return [a_visit(part, id=f"V{n}", free=Interval(now, now + MINUTES)) for n, now in enumerate(minutes)]
