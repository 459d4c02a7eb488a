"""How long each bay was held by stays, and how long it was being made ready again."""

from collections.abc import Sequence

from solver.problem import Day
from solver.report.figures import BayFigures
from solver.report.ratios import utilisation
from solver.stays import Stay


def bay_figures(day: Day, stays: Sequence[Stay]) -> list[BayFigures]:
    return [_bay(day, bay, stays) for place in day.places for bay in place.bays]


def _bay(day: Day, bay: str, stays: Sequence[Stay]) -> BayFigures:
    intervals = [stay.interval for stay in stays if stay.bay == bay]
    held = sum(interval.minutes for interval in intervals)
    turnover = sum(max(0, min(day.bay_turnover_min, day.close - interval.end)) for interval in intervals)
    return {
        "id": bay,
        "held_min": held,
        "turnover_min": turnover,
        "raw": utilisation(held, day.open_interval.minutes),
        "adjusted": utilisation(held + turnover, day.open_interval.minutes),
    }
