"""Ruin and recreate: whatever it does, its best plan is right and has the scores that it says."""

from dataclasses import replace
from random import Random

import pytest

from solver import improve
from solver.compose import ledger_of, plan_of
from solver.construct import construct
from solver.improve import FOCUSED, Improver
from solver.masks import offers
from solver.masks.bits import ALL, span
from solver.masks.ledger import Ledger
from solver.masks.offers import best_offer
from solver.problem import Day
from solver.schedule import PlacedVisit
from solver.verify import verify
from solver.visits import Visit
from tests.bench.cases import Case, Kind
from tests.bench.days import bench_day
from tests.builders import a_day, a_part, a_plan, a_therapist, a_visit, at, hands_on


@pytest.mark.parametrize(("crowded", "proved"), [(False, 0), (True, 0), (False, 3)])
def test_the_best_plan_is_right_and_only_gets_better(crowded: bool, proved: int) -> None:
    day = bench_day("S", 1, crowded=crowded)
    ledger = construct(day)
    assert ledger is not None
    improver = Improver(ledger, seed=1)
    improver.proved = proved
    first = improver.best_scores
    for step in range(300):
        before = improver.best_scores
        assert improver.step(step / 300) == (improver.best_scores < before)
        assert improver.best_scores <= before
    plan = plan_of(day, *improver.best)
    assert verify(day, plan) == []
    assert tuple(plan.scores[aim] for aim in day.aims) == improver.best_scores < first


@pytest.mark.parametrize("spent", [0.0, FOCUSED])
@pytest.mark.parametrize("kind", ["day", "crowded", "repair"])
def test_no_start_is_left_aside_that_the_limits_allow(
    kind: Kind, spent: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every start is offered here, and whoever comes back at one that is left aside is too much for the limits."""
    day = Case(kind=kind, name="M" if kind == "repair" else "S", seed=1, seconds=1).day()
    outside: list[str] = []
    refused = 0

    def offer_of_all(
        ledger: Ledger, visit: Visit, random: Random, *, within: int, anywhere: bool
    ) -> PlacedVisit | None:
        found = best_offer(ledger, visit, random, anywhere=anywhere)
        if found is not None and not within >> found.parts[0].start & 1:
            outside.append(visit.id)
        return found

    class Watched(Improver):
        def _too_much(self, waiting: int, limits: tuple[float, ...]) -> bool:
            nonlocal refused
            found = super()._too_much(waiting, limits)
            if outside:
                assert found, f"{outside} came back within the limits {limits}"
                outside.clear()
                refused += 1
            return found

    monkeypatch.setattr(improve, "best_offer", offer_of_all)
    ledger = construct(day)
    assert ledger is not None
    improver = Watched(ledger, seed=1)
    for step in range(150):
        improver.step(spent + (1 - spent) * step / 150)
    assert refused or kind == "crowded", "the starts were never cut"


def test_once_the_first_part_of_the_time_is_over_it_goes_on_from_the_best_plan() -> None:
    """Until then only the first aim that costs something counts, and those before it."""
    day = bench_day("M", 2)
    ledger = construct(day)
    assert ledger is not None
    improver = Improver(ledger, seed=1)
    for step in range(500):
        improver.step(FOCUSED * step / 500)
        if improver.scores[:3] == improver.best_scores[:3] and improver.scores[3] > improver.best_scores[3]:
            break
    else:
        pytest.fail("no later aim ever went up while the minutes from wish were as few as ever")
    best = improver.best_scores
    improver.step(1.0)
    assert improver.scores[:4] <= best[:4]
    now = plan_of(day, ledger.visits, ledger.breaks)
    assert tuple(now.scores[aim] for aim in day.aims) == improver.scores


def test_a_window_of_starts_holds() -> None:
    part = a_part(hands_on(30))
    day = a_day(a_visit(part, id="V1", wish="10:00"), staff=[a_therapist()])
    ledger = ledger_of(day, a_plan(day))
    ten, eleven = at("10:00"), at("11:00")
    for within, start in ((ALL, ten), (1 << eleven, eleven), (0, None)):
        found = best_offer(ledger, day.visits[0], within=within)
        assert (None if found is None else found.parts[0].start) == start


def test_on_a_day_of_many_visits_whoever_wishes_for_no_time_begins_at_any_unless_only_the_finish_counts(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """As early as can be they would stand in the way of all who wish to come early."""
    part = a_part(hands_on(30))
    day = a_day(a_visit(part, id="V1"), a_visit(part, id="V2", wish="09:00"), staff=[a_therapist()])

    def starts(day: Day, within: int = ALL) -> set[int]:
        found = (
            best_offer(ledger_of(day, a_plan(day)), day.visits[0], Random(seed), within=within) for seed in range(60)
        )
        return {placed.parts[0].start for placed in found if placed is not None}

    assert starts(day) == {day.open}
    monkeypatch.setattr(offers, "MANY_VISITS", 0)
    assert min(starts(day)) < day.open + 30
    assert max(starts(day)) > day.close - 60
    assert max(starts(replace(day, aims=("placed", "wish")))) > day.close - 60
    assert starts(replace(day, aims=("placed", "finish"))) == {day.open}
    ten_to_eleven = starts(day, within=span(at("10:00"), at("11:00")))
    assert len(ten_to_eleven) > 20, "they pile up at the ends of what is looked at"
    assert ten_to_eleven <= set(range(at("10:00"), at("11:00")))
    assert starts(replace(day, visits=day.visits[:1])) == {day.open}, "nobody wishes for a time"
    sure = best_offer(ledger_of(day, a_plan(day)), day.visits[0])
    assert sure is not None
    assert sure.parts[0].start == day.open
