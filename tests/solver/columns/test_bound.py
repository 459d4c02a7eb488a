"""A relaxation's bound is a bound: it never passes what trying everything finds."""

from dataclasses import replace

import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st

from solver.columns import placements
from solver.columns.bound import FAR, NO_BOUND, ColumnBound, column_bound
from solver.names import AimName
from solver.problem import Day
from solver.visits import Visit
from tests.builders import a_day, a_part, a_visit, fixed, fixed_part, hands_on
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
        bound = column_bound(day, aim, held, best[aim] + ROOM, lambda: False).score
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
            assert column_bound(day, aim, held, best[aim] + ROOM, lambda: False).score <= best[aim], aim
            held[aim] = best[aim]


@settings(max_examples=40, deadline=None, derandomize=True)
@given(st.sampled_from(FEATURES).flatmap(small_days))
def test_the_bound_is_never_above_the_best_plan_known(day: Day) -> None:
    best = best_scores(day)
    if best is not None and day.aims:
        aim = day.aims[0]
        assert column_bound(day, aim, {}, best[aim], lambda: False).score <= best[aim]


def test_a_stopped_bound_says_nothing() -> None:
    day = a_day(a_visit(wish="09:00"))
    assert column_bound(day, "wish", {}, 60, lambda: True) == NO_BOUND


@settings(max_examples=14, deadline=None, derandomize=True)
@given(st.sampled_from(FEATURES).flatmap(small_days))
def test_no_start_costs_less_than_its_bound_says(day: Day) -> None:
    """Whatever trying everything reaches with a visit fixed at a start is among the starts within that score."""
    best = best_scores(day)
    if best is None:
        return
    held: dict[AimName, int] = {}
    for aim in day.aims:
        known = best[aim] + ROOM
        bound = column_bound(day, aim, held, known, lambda: False, by_start=True)
        for visit in (visit for visit in day.visits if visit.fixed is None):
            starts = [start for start in range(day.open, day.close) if start % day.step_min == 0]
            for start in starts[:: max(1, len(starts) // 3)]:
                reached = best_scores(_with_start(day, visit, start))
                if reached is None or any(reached[before] != score for before, score in held.items()):
                    continue
                if reached[aim] <= known:
                    allowed = bound.starts_within(reached[aim]).get((visit.id, 0))
                    assert allowed is None or start in allowed, (aim, visit.id, start)
                    event(f"{aim} {'not told apart' if allowed is None else 'told'}")
        held[aim] = best[aim]


def _with_start(day: Day, visit: Visit, start: int) -> Day:
    there = replace(visit, fixed=fixed(fixed_part(start=start)))
    return replace(day, visits=tuple(there if other is visit else other for other in day.visits))


def test_of_two_who_want_one_hour_each_start_costs_what_both_then_cost() -> None:
    """One unit and one patient at once: both wish for ten, each takes 20 minutes."""
    day = a_day(*(a_visit(a_part(hands_on(20)), id=id, wish="10:00") for id in ("V1", "V2")), step_min=5)
    bound = column_bound(day, "wish", {"placed": 0, "stable": 0}, 40, lambda: False, by_start=True)
    assert bound.score == 20
    at_best = bound.starts_within(20)
    assert at_best["V1", 0] == at_best["V2", 0]
    assert {580, 600, 620} <= at_best["V1", 0] <= set(range(580, 625, 5))
    assert bound.starts_within(15)["V1", 0] == frozenset()


def test_starts_that_are_not_told_apart_are_not_told_at_all() -> None:
    far = ColumnBound(10, {("V1", 0): {600: 10.0, FAR: 30.0}})
    assert far.starts_within(20) == {("V1", 0): frozenset({600})}
    assert far.starts_within(30) == {}
