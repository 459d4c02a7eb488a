"""A relaxation's bound is a bound: it never passes what trying everything finds."""

import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st

from solver.columns import placements
from solver.columns.bound import column_bound
from solver.names import AimName
from solver.problem import Day
from tests.builders import a_day, a_visit
from tests.solver.brute_force import best_scores
from tests.solver.small_days import FEATURES, small_days

ROOM = 40
"""How much worse than the best the best plan known is said to be, so that the bound has room to be wrong."""


@settings(max_examples=110, deadline=None, derandomize=True)
@given(st.sampled_from(FEATURES).flatmap(small_days))
def test_the_bound_never_passes_the_best_score(day: Day) -> None:
    best = best_scores(day)
    if best is None:
        return
    held: dict[AimName, int] = {}
    for aim in day.aims:
        bound = column_bound(day, aim, held, best[aim] + ROOM, lambda: False)
        assert 0 <= bound <= best[aim], aim
        if best[aim]:
            event(f"{aim} {'tight' if bound == best[aim] else 'loose'}")
        held[aim] = best[aim]


@settings(max_examples=66, deadline=None, derandomize=True)
@given(st.sampled_from(FEATURES).flatmap(small_days), st.sampled_from([0, 5, 15]))
def test_placements_not_told_apart_far_from_a_wish_make_no_bound_too_high(day: Day, near: int) -> None:
    """On small days hardly anything is far, so what counts as far is made less."""
    best = best_scores(day)
    if best is None:
        return
    held: dict[AimName, int] = {}
    with pytest.MonkeyPatch.context() as nearer:
        nearer.setattr(placements, "FAR_MIN", near)
        for aim in day.aims:
            assert column_bound(day, aim, held, best[aim] + ROOM, lambda: False) <= best[aim], aim
            held[aim] = best[aim]


@settings(max_examples=40, deadline=None, derandomize=True)
@given(st.sampled_from(FEATURES).flatmap(small_days))
def test_the_bound_is_never_above_the_best_plan_known(day: Day) -> None:
    best = best_scores(day)
    if best is not None and day.aims:
        aim = day.aims[0]
        assert column_bound(day, aim, {}, best[aim], lambda: False) <= best[aim]


def test_a_stopped_bound_says_nothing() -> None:
    day = a_day(a_visit(wish="09:00"))
    assert column_bound(day, "wish", {}, 60, lambda: True) == 0
