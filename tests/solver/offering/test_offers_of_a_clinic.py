"""Offers on a whole day of a clinic: each right by the verifier, and no other start possible by the exact model."""

from collections.abc import Callable
from dataclasses import replace
from functools import cache

import pytest

from solver.construct import construct
from solver.offers import offers
from solver.problem import Day
from solver.schedule import Plan
from solver.visits import Visit
from tests.bench.days import bench_day
from tests.builders import a_plan
from tests.solver.offering.by_exact_model import can_start_at
from tests.solver.offering.test_offers import keeps_every_rule


@cache
def the_clinic() -> tuple[Day, Plan]:
    day = bench_day("M", 1)
    ledger = construct(day)
    assert ledger is not None
    return day, a_plan(day, *ledger.visits.values(), breaks=[taken for _, taken in sorted(ledger.breaks.items())])


def one_part(visit: Visit) -> bool:
    return len(visit.parts) == 1


KINDS: dict[str, Callable[[Visit], bool]] = {
    "ultrasound": lambda visit: one_part(visit) and "ultrasound" in visit.parts[0].channels,
    "suction": lambda visit: one_part(visit) and visit.parts[0].suction_kpa is not None,
    "two parts in one stay": lambda visit: not one_part(visit) and visit.same_unit,
    "two parts that roam": lambda visit: not one_part(visit) and not visit.same_unit,
    "fixed": lambda visit: visit.fixed is not None and not visit.fixed.parts[0].channels,
}


@pytest.mark.parametrize("kind", KINDS)
def test_offers_are_right_and_nothing_else_is_possible(kind: str) -> None:
    day, plan = the_clinic()
    visit = next(visit for visit in day.visits if KINDS[kind](visit))
    found = offers(day, plan, visit)
    assert found
    assert all(keeps_every_rule(day, plan, offer) for offer in found)
    starts = {offer.parts[0].start for offer in found}
    missing = set(range(day.open, day.close, day.step_min)) - starts
    assert missing
    assert not can_start_at(day, plan, visit, missing)


def test_the_exact_model_does_find_starts_that_are_offered() -> None:
    day, plan = the_clinic()
    visit = replace(next(visit for visit in day.visits if KINDS["suction"](visit)), fixed=None)
    assert can_start_at(day, plan, visit, {offers(day, plan, visit)[-1].parts[0].start})
