"""How long each pool's items were held, and how long they were being made ready again."""

from collections.abc import Iterator, Sequence

from solver.clinic import Applicator
from solver.clock import Interval
from solver.problem import Day
from solver.report.figures import ApplicatorFigures
from solver.report.ratios import utilisation
from solver.stays import Stay


def applicator_figures(day: Day, stays: Sequence[Stay]) -> list[ApplicatorFigures]:
    return [_pool(day, pool, stays) for pool in day.applicators]


def _pool(day: Day, pool: Applicator, stays: Sequence[Stay]) -> ApplicatorFigures:
    holds = [hold for stay in stays for item in pool.items for hold in _hold(stay, pool.id, item)]
    held = sum(hold.minutes for hold in holds)
    turnaround = sum(max(0, min(pool.turnaround_min, day.close - hold.end)) for hold in holds)
    available = len(pool.items) * day.open_interval.minutes
    return {
        "id": pool.id,
        "items": len(pool.items),
        "held_min": held,
        "turnaround_min": turnaround,
        "raw": utilisation(held, available),
        "adjusted": utilisation(held + turnaround, available),
    }


def _hold(stay: Stay, pool: str, item: str) -> Iterator[Interval]:
    """From the start of the stay's first part that names the item to the end of the last; nothing where none does."""
    spans = [
        Interval(placed.start, placed.start + part.minutes)
        for part, placed in stay.parts
        if item in placed.items.get(pool, ())
    ]
    if spans:
        yield Interval(min(span.start for span in spans), max(span.end for span in spans))
