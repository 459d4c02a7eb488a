"""``python -m tests.bench.offers [--visits 40]``: how fast the starts of one more visit are found, plan loaded.

Every visit of a day is asked about as a new one. Beside it, for one of them: brute force (every placing tried with the
verifier) and a call of the exact model for each start, as ratios to the median.
"""

import argparse
import sys
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from time import perf_counter

from solver.construct import construct
from solver.offering.loaded import LoadedPlan
from solver.offers import offers_in, possible_starts
from solver.problem import Day
from solver.schedule import PlacedVisit, Plan
from solver.visits import Visit
from tests.bench.days import bench_day
from tests.builders import a_plan
from tests.solver.every_choice import part_placings
from tests.solver.offering.by_exact_model import can_start_at
from tests.solver.offering.test_offers import keeps_every_rule

GOALS_MS = {"M, one day": 0.5, "XL, one day": 1.0, "M, 20 days": 10.0}
DAYS = 20
EVERY = 4999
"""Of the placings that brute force would try, one in so many is timed."""


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.bench.offers")
    parser.add_argument("--visits", type=int, default=40, help="visits asked about on each day; default 40")
    visits = parser.parse_args().visits
    _say("| asked | visits | first: p50 ms | p95 ms | longest | again: p50 ms | p95 ms | longest | goal ms at p95 |")
    _say("|---|---|---|---|---|---|---|---|---|")
    medians = {}
    for size in ("M", "XL"):
        day, plan = _planned(size, 1)
        loaded = LoadedPlan(day, plan)
        asked = _new(day, visits)
        medians[size] = _row(f"{size}, one day", asked, partial(possible_starts, loaded))
        alone = [visit for visit in asked if len(visit.parts) == 1]
        _row(f"{size}, one day, one part", alone, partial(possible_starts, loaded))
        _row(f"{size}, one day, each completed", asked, partial(offers_in, loaded))
    days = [LoadedPlan(*_planned("M", seed)) for seed in range(1, DAYS + 1)]
    asked = [visit for visit in _new(days[0].day, visits) if visit.therapist_must is None]
    medians["20"] = _row("M, 20 days", asked, lambda visit: [possible_starts(loaded, visit) for loaded in days])
    _compare(medians["M"], medians["20"])


def _planned(size: str, seed: int) -> tuple[Day, Plan]:
    day = bench_day(size, seed)
    ledger = construct(day)
    assert ledger is not None
    return day, a_plan(day, *ledger.visits.values(), breaks=[taken for _, taken in sorted(ledger.breaks.items())])


def _new(day: Day, most: int) -> list[Visit]:
    """The day's visits as new ones of patients who are not in the day."""
    return [
        replace(visit, id="new", patient="new", fixed=None) for visit in day.visits[:: max(1, len(day.visits) // most)]
    ]


def _row(title: str, visits: Sequence[Visit], ask: Callable[[Visit], object]) -> float:
    """One line of the table; the median in milliseconds. What a first asking finds, the loaded plan keeps in part."""
    first = sorted(_timed(partial(ask, visit)) for visit in visits)
    times = sorted(_timed(partial(ask, visit)) for visit in visits)
    goal = GOALS_MS.get(title, "")
    figures = [_part(some, share) for some in (first, times) for share in (0.5, 0.95, 1.0)]
    _say(f"| {title} | {len(times)} | {' | '.join(figures)} | {goal} |")
    return times[len(times) // 2]


def _part(times: Sequence[float], share: float) -> str:
    """The time below which this share of the sorted times lies."""
    return f"{times[min(len(times) - 1, int(share * len(times)))]:.2f}"


def _compare(median_ms: float, median_of_days_ms: float) -> None:
    """On one visit of one part. Brute force would take hours: so many placings are timed, and all of them counted."""
    day, plan = _planned("M", 1)
    visit = next(visit for visit in _new(day, len(day.visits)) if len(visit.parts) == 1)
    whole = replace(day, visits=(*day.visits, visit))
    count, some = 0, []
    for part, therapist in part_placings(day, visit.parts[0]):
        if count % EVERY == 0:
            some.append(PlacedVisit(id=visit.id, therapist=therapist, parts=(part,)))
        count += 1
    tried = _timed(partial(_verify_each, whole, plan, some)) / len(some) * count
    starts = range(day.open, day.close, day.step_min)
    asked = _timed(partial(_ask_each, whole, plan, visit, starts))
    what = f"brute force, {count:,} placings, reckoned from {len(some)} of them"
    for name, took in ((what, tried), (f"an exact model for each of {len(starts)} starts", asked)):
        _say(f"\nM, one day, {name}: {took:,.0f} ms, {took / median_ms:,.0f} times as long")
        many = took * DAYS
        ratio = many / median_of_days_ms
        _say(f"{DAYS} days, reckoned as so many of that day: {many:,.0f} ms, {ratio:,.0f} times as long")


def _verify_each(day: Day, plan: Plan, placings: Sequence[PlacedVisit]) -> None:
    for placed in placings:
        keeps_every_rule(day, plan, placed)


def _ask_each(day: Day, plan: Plan, visit: Visit, starts: Sequence[int]) -> None:
    for start in starts:
        can_start_at(day, plan, visit, [start])


def _timed(ask: Callable[[], object]) -> float:
    """Milliseconds."""
    begun = perf_counter()
    ask()
    return (perf_counter() - begun) * 1000


def _say(line: str) -> None:
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main()
