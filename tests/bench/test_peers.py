"""The peers are what the bench says: first fit keeps every rule, the grid model is spared some and adds none."""

from dataclasses import replace

import pytest

from solver.compose import explained, finished, plan_of
from solver.construct import construct
from solver.verify import verify
from tests.bench.days import bench_day
from tests.bench.peers.first_fit import first_fit
from tests.bench.peers.time_indexed import TimeIndexed, time_indexed
from tests.bench.peers.weighted import bounds_of, scores_of, weighted_costs


@pytest.mark.parametrize(("size", "seed", "crowded"), [("S", 1, False), ("S", 2, True), ("M", 1, False)])
def test_first_fit_gives_a_right_plan(size: str, seed: int, crowded: bool) -> None:
    day = bench_day(size, seed, crowded)
    plan, late = first_fit(day, seconds=60)
    assert plan is not None
    assert late == 0
    assert verify(day, finished(day, explained(day, plan), dict.fromkeys(day.aims, 0))) == []


@pytest.mark.parametrize("crowded", [False, True])
@pytest.mark.parametrize(("size", "seed"), [("S", 1), ("S", 2), ("S", 3), ("M", 1), ("M", 2)])
def test_the_grid_model_allows_every_right_plan_at_its_true_scores(size: str, seed: int, crowded: bool) -> None:
    """So that it is easier than the day and never harder."""
    day = bench_day(size, seed, crowded)
    ledger = construct(day)
    assert ledger is not None
    plan = plan_of(day, ledger.visits, ledger.breaks)
    model = time_indexed(day)
    chosen = {model.meaning[visit.id,] for visit in plan.left_out}
    chosen |= {
        model.meaning[placed.id, index, part.unit, part.start]
        for placed in plan.visits
        for index, part in enumerate(placed.parts)
    }
    chosen |= {model.meaning[staff, number, taken.start] for (staff, number), taken in ledger.breaks.items()}

    assert _broken(model, chosen) == []
    assert scores_of(model, chosen) == {aim: plan.scores[aim] for aim in ("placed", "stable", "wish")}


def test_the_grid_model_knows_what_another_start_or_unit_costs_in_stable() -> None:
    day = bench_day("S", 1)
    ledger = construct(day)
    assert ledger is not None
    told = ledger.visits["V002"]
    model = time_indexed(replace(day, published=(told,)))
    first = told.parts[0]
    costs = {
        (unit, start): model.costs["stable"].get(boolean)
        for (visit, index, unit, start), boolean in ((key, b) for key, b in model.meaning.items() if len(key) == 4)
        if visit == "V002" and index == 0
    }
    assert costs[first.unit, first.start] == 0
    assert costs[first.unit, first.start + 5] == 5
    assert {costs[unit, start] for unit, start in costs if unit != first.unit and start == first.start} == {10}


def _broken(model: TimeIndexed, chosen: set[int]) -> list[int]:
    broken = []
    for number, row in enumerate(model.rows):
        total = sum(amount for boolean, amount in row.terms if boolean in chosen)
        short = row.least is not None and total < row.least
        if short or (row.most is not None and total > row.most):
            broken.append(number)
    return broken


def test_a_row_that_is_broken_is_seen() -> None:
    model = time_indexed(bench_day("S", 1))
    assert _broken(model, set()) != []
    assert _broken(model, set(range(model.booleans))) != []


def test_an_aim_outweighs_all_that_come_after_it() -> None:
    day = bench_day("S", 1)
    model = time_indexed(day)
    costs = weighted_costs(model)
    cheapest_left_out = min(costs[model.meaning[visit.id,]] for visit in day.visits)
    assert cheapest_left_out > sum(
        max(costs.get(boolean, 0) for key, boolean in model.meaning.items() if key[0] == visit.id and len(key) == 4)
        for visit in day.visits
    )


@pytest.mark.parametrize(
    ("bound", "bounds"),
    [
        (0, {"placed": 0, "wish": 0}),
        (1999, {"placed": 1, "wish": 0}),
        (2000, {"placed": 2, "wish": 0}),
        (2030, {"placed": 2, "wish": 30}),
        (2040, {"placed": 2, "wish": 40}),
    ],
)
def test_a_bound_of_the_sum_says_what_it_says_of_each_aim(bound: int, bounds: dict[str, int]) -> None:
    """Two left out at 1000 each and 40 minutes: until all of ``placed`` is proved nothing is known of ``wish``."""
    assert bounds_of({"placed": 1000, "wish": 1}, bound, {"placed": 2, "wish": 40}) == bounds
