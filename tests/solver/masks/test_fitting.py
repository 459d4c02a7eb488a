"""Whether a visit can be in a plan as it is placed elsewhere, against the verifier."""

from dataclasses import replace
from itertools import islice

from hypothesis import event, given, settings
from hypothesis import strategies as st

from solver.construct import construct
from solver.masks.fitting import fits
from solver.problem import Day
from solver.schedule import PlacedBreak, PlacedVisit
from solver.verify import verify
from tests.bench.days import bench_day
from tests.builders import a_plan
from tests.solver.every_choice import part_placings, visit_placings
from tests.solver.small_days import FEATURES, small_days

MOST_PLACINGS = 300
"""Of each day that are tried."""


def is_right(day: Day, placed: list[PlacedVisit], breaks: list[PlacedBreak]) -> bool:
    """Visits that are fixed may be missing."""
    return {breach.rule for breach in verify(day, a_plan(day, *placed, breaks=breaks))} <= {"scores", "fixed"}


@settings(max_examples=80, deadline=None, derandomize=True)
@given(st.sampled_from(FEATURES).flatmap(small_days))
def test_a_visit_fits_where_the_plan_with_it_is_right_and_nowhere_else(day: Day) -> None:
    day = replace(day, visits=tuple(replace(visit, fixed=None) for visit in day.visits))
    ledger = construct(day)
    if ledger is None or not ledger.visits:
        return
    visit = day.visit_by_id[sorted(ledger.visits)[-1]]
    ledger.remove(visit.id)
    others, breaks = list(ledger.visits.values()), [taken for _, taken in sorted(ledger.breaks.items())]
    placings = visit_placings(visit, [list(part_placings(day, part)) for part in visit.parts])
    for placed in islice(placings, MOST_PLACINGS):
        if is_right(day, [placed], breaks):  # of a right plan, but for the others in it
            found = is_right(day, [*others, placed], breaks)
            event(f"fits: {found}")
            assert fits(ledger, placed) == found


def test_what_is_taken_out_of_a_plan_fits_back() -> None:
    day = bench_day("M", 1)
    ledger = construct(day)
    assert ledger is not None
    for placed in list(ledger.visits.values()):
        assert not fits(ledger, placed)
        ledger.remove(placed.id)
        assert fits(ledger, placed)
        ledger.add(placed)
