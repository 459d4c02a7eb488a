"""The result as a whole: what it counts, that it repeats, what it refuses."""

import json
import multiprocessing
from dataclasses import replace

import pytest

from solver.errors import InputError
from solver.problem import Day
from solver.schedule import Clash, Plan
from solver.simulation import Settings, most_steps, simulate, steps
from solver.simulation.chance import block_random, draw
from solver.simulation.lay_out import lay_out
from tests.builders import (
    a_day,
    a_part,
    a_plan,
    a_therapist,
    a_visit,
    an_infeasible_plan,
    at,
    hands_on,
    placed,
)
from tests.solver.first_plans import planned
from tests.solver.simulation.runs import Run

NOTHING = Settings(late_share=0, missed_share=0)


def _in_a_row(count: int, minutes: int = 10) -> tuple[Day, Plan]:
    """Visits one after the other in the same hands, the last of which ends with the hands' hours."""
    visits = [a_visit(a_part(hands_on(minutes)), id=f"V{n + 1}") for n in range(count)]
    start = at("09:00")
    day = a_day(*visits, staff=[a_therapist(hours=f"09:00-{(start + count * minutes) // 60:02d}:00")])
    return day, a_plan(day, *(placed(visit, start + n * minutes) for n, visit in enumerate(visits)))


def test_without_chance_nothing_happens() -> None:
    day, plan = planned("M", 1)
    result = simulate(day, plan, NOTHING, runs=3, seed=0)
    assert result["wait"] == {"share": 0, "mean_min": 0, "p50_min": 0, "p95_min": 0}
    assert result["watch_short"] == {"share": 0, "mean_min": 0, "p95_min": 0}
    finish = result["finish"]
    assert finish["planned_min"] == finish["mean_min"] == finish["p95_min"] == plan.scores["finish"]
    assert finish["late_share"] == 0
    assert all(one["share"] == one["mean_min"] == one["p95_min"] == 0 for one in result["overtime"])
    assert result["missed"] == {"share": 0, "mean_visits": 0}
    assert (result["exposed"], result["slack"]) == ([], [])


def test_each_overrun_is_handed_on_to_all_that_follow() -> None:
    # Six visits in a row, each a minute longer: the n-th begins n − 1 minutes late, the day ends 6 minutes late.
    day, plan = _in_a_row(6)
    settings = replace(NOTHING, overrun_share=1, overrun_mean=1)
    result = simulate(day, plan, settings, runs=7, seed=3)
    assert result["wait"] == {"share": round(5 / 6, 4), "mean_min": 3.0, "p50_min": 3, "p95_min": 5}
    assert result["finish"] == {
        "planned_min": 60,
        "mean_min": 66.0,
        "p95_min": 66,
        "late_share": 1.0,
        "late_mean_min": 6.0,
        "after_close_share": 0.0,
    }
    assert result["overtime"] == [{"staff": "T1", "share": 1.0, "mean_min": 6.0, "p95_min": 6}]
    assert [(one["visit"], one["p95_min"]) for one in result["exposed"]] == [(f"V{n}", n - 1) for n in (6, 5, 4, 3, 2)]
    assert result["exposed"][0]["held_by"] == {"rule": "hands", "resource": "T1", "visit": "V5", "share": 1.0}
    assert result["slack"][0] == {"visit": "V6", "min": 5}
    assert [one["min"] for one in result["slack"][1:]] == [0, 0, 0, 0]


def test_no_slack_is_suggested_where_an_hour_is_too_little() -> None:
    visits = [a_visit(a_part(hands_on(10)), id=f"V{n}") for n in (1, 2)]
    day = a_day(*visits)
    plan = a_plan(day, placed(visits[0], "09:00"), placed(visits[1], "09:10"))
    settings = replace(NOTHING, overrun_share=1, overrun_mean=200)
    result = simulate(day, plan, settings, runs=20, seed=0)
    assert result["slack"] == [{"visit": "V2", "min": None}]


def test_slack_is_the_least_step_that_is_enough() -> None:
    day, plan = planned("S", 1)
    settings = Settings(late_share=0.3, late_mean=8)
    result = simulate(day, plan, settings, runs=60, seed=5)
    (visit, minutes) = next((one["visit"], one["min"]) for one in result["slack"] if (one["min"] or 0) >= day.step_min)
    assert minutes is not None
    layout = lay_out(day, plan)
    first = next(one.tasks[0] for one in layout.visits if one.id == visit)

    def p95(slack: int) -> int:
        delays = []
        for block, runs in ((0, 50), (1, 10)):
            random = block_random(5, block)
            for _ in range(runs):
                chance = draw(layout, settings, random)
                ids = [one.id for one in layout.visits]
                late = dict(zip(ids, chance.late, strict=True))
                missed = [id for id, gone in zip(ids, chance.missed, strict=True) if gone]
                happened = Run(day, plan, late=late, missed=missed, later={visit: slack}).happened
                begun, ready = happened.begun[first], happened.ready[first]
                if begun is not None and ready is not None:
                    delays.append(begun - ready)
        return sorted(delays)[-(-95 * len(delays) // 100) - 1]

    assert p95(minutes) < 5
    assert p95(minutes - 5) >= 5


def test_all_missed_is_a_day_without_work() -> None:
    day, plan = _in_a_row(6)
    result = simulate(day, plan, Settings(missed_share=1), runs=5, seed=0)
    assert result["missed"] == {"share": 1.0, "mean_visits": 6.0}
    assert (result["finish"]["mean_min"], result["wait"]["share"]) == (0, 0)


def test_the_same_seed_gives_the_same_bytes_whatever_the_processes() -> None:
    day, plan = planned("S", 1)
    alone, again, other = (
        json.dumps(simulate(day, plan, Settings(), runs=120, seed=seed, workers=workers))
        for seed, workers in ((7, 1), (7, 2), (8, 1))
    )
    assert alone == again
    assert alone != other


def test_progress_comes_to_its_end() -> None:
    day, plan = planned("S", 1)
    told: list[tuple[int, int]] = []
    simulate(day, plan, Settings(), runs=120, seed=0, on_progress=lambda done, of: told.append((done, of)))
    assert [done for done, _ in told] == list(range(1, len(told) + 1))
    assert told[:2] == [(1, 3), (2, 3)]
    assert told[-1][0] == told[-1][1] <= most_steps(120)


@pytest.mark.parametrize("workers", [1, 2])
def test_who_leaves_has_what_a_simulation_of_so_few_runs_finds(workers: int) -> None:
    day, plan = planned("S", 1)
    whole = simulate(day, plan, Settings(), runs=100, seed=4)
    for step in steps(day, plan, Settings(), runs=5_000, seed=4, workers=workers):
        if step.done == 2:
            break
    assert step.of == 100
    assert multiprocessing.active_children() == []
    assert step.found.figures == {**whole, "slack": []}
    assert whole["slack"] != []


def test_the_counts_are_those_that_the_figures_are_made_of() -> None:
    day, plan = planned("S", 1)
    *_, last = steps(day, plan, Settings(), runs=60, seed=2)
    figures, found = last.found.figures, last.found
    assert found.finish.total() == found.short.total() == 60
    ends = sum(minute * often for minute, often in found.finish.items()) / 60 - day.open
    assert round(ends, 4) == figures["finish"]["mean_min"]
    waited = sum(often for minutes, often in found.waits.items() if minutes)
    assert round(waited / found.waits.total(), 4) == figures["wait"]["share"] > 0


def test_a_wrong_or_an_infeasible_plan_is_refused() -> None:
    day, plan = _in_a_row(6)
    broken = replace(plan, scores={**plan.scores, "finish": 1})
    with pytest.raises(InputError, match=r"^scores: "):
        simulate(day, broken, Settings(), runs=1, seed=0)
    with pytest.raises(InputError, match=r"^status: "):
        simulate(day, an_infeasible_plan(day, Clash(id="V1", rules=("hands",))), Settings(), runs=1, seed=0)
