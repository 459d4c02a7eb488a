"""The aims counted again, each on a plan whose score is plain to see."""

from dataclasses import replace

import pytest

from solver.names import AimName
from solver.schedule import PlacedVisit
from solver.verify import verify
from solver.verify.scores import scores_of
from tests.builders import a_day, a_part, a_plan, a_therapist, a_unit, a_visit, hands_on, placed, unattended

STAFF = [a_therapist("T1"), a_therapist("T2")]


def test_placed_is_the_weight_of_what_is_left_out() -> None:
    visits = [a_visit(id="V1", priority=5), a_visit(id="V2", priority=3), a_visit(id="V3", priority=2)]
    day = a_day(*visits)
    assert scores_of(day, a_plan(day, placed(visits[0], "09:00")))["placed"] == 5
    assert scores_of(day, a_plan(day))["placed"] == 10


@pytest.mark.parametrize(
    ("told", "score"),
    [
        (placed(a_visit(), "09:30"), 0),
        (placed(a_visit(), "09:23"), 7),
        (placed(a_visit(), "09:37"), 7),
        (placed(a_visit(), "09:30", unit="U2"), 10),
        (placed(a_visit(), "09:30", unit="a unit that is gone"), 10),
        (placed(a_visit(), "09:30", hands="T2"), 10),
        (placed(a_visit(), "09:30", hands="somebody who left"), 10),
        (placed(a_visit(), "09:30", therapist=None), 10),
        (placed(a_visit(), "10:00", unit="U2", hands="T2"), 50),
        (placed(a_visit(), "09:30", bay="F2", place="elsewhere"), 0),
        (placed(a_visit(id="no longer in the day"), "11:00"), 0),
    ],
)
def test_stable_counts_what_differs_from_what_was_told(told: PlacedVisit, score: int) -> None:
    visit = a_visit()
    day = a_day(visit, units=[a_unit(), a_unit("U2")], staff=STAFF, published=[told])
    assert scores_of(day, a_plan(day, placed(visit, "09:30")))["stable"] == score
    assert scores_of(day, a_plan(day))["stable"] == 0


def test_stable_reads_the_first_part_only() -> None:
    visit = a_visit(a_part(), a_part())
    day = a_day(visit, published=[placed(visit, "09:30", "10:30")])
    assert scores_of(day, a_plan(day, placed(visit, "09:30", "11:00")))["stable"] == 0


@pytest.mark.parametrize(("start", "score"), [("09:30", 0), ("09:20", 10), ("09:45", 15)])
def test_wish_counts_minutes_both_ways(start: str, score: int) -> None:
    visit, other = a_visit(wish="09:30"), a_visit(id="V2", wish="11:00")
    day = a_day(visit, other, a_visit(id="V3"))
    assert scores_of(day, a_plan(day, placed(visit, start)))["wish"] == score


def test_therapist_counts_visits_with_another() -> None:
    wished = a_visit(id="V1", therapist_wish="T2")
    granted = a_visit(id="V2", therapist_wish="T1")
    not_read = a_visit(a_part(hands_on(10, "anyone")), id="V3", therapist_wish="T2")
    day = a_day(wished, granted, not_read, staff=STAFF)
    plan = a_plan(day, *(placed(visit, start) for visit, start in zip(day.visits, (540, 560, 580), strict=True)))
    assert scores_of(day, plan)["therapist"] == 1


def test_wait_adds_up_between_parts_that_end_off_the_grid() -> None:
    visit = a_visit(a_part(unattended(13)), a_part(unattended(7)), a_part())
    day = a_day(visit, step_min=5)
    assert scores_of(day, a_plan(day, placed(visit, "09:00", "09:15", "09:30")))["wait"] == 2 + 8


def test_finish_is_the_latest_end_from_opening() -> None:
    early, late = a_visit(a_part(unattended(50)), id="V1"), a_visit(id="V2")
    day = a_day(early, late)
    assert scores_of(day, a_plan(day, placed(early, "09:00"), placed(late, "09:30", bay="F2")))["finish"] == 50
    assert scores_of(day, a_plan(day))["finish"] == 0


def test_only_the_aims_of_the_day_are_counted_in_their_order() -> None:
    day = a_day(aims=("finish", "placed"))
    assert list(scores_of(day, a_plan(day))) == ["finish", "placed"]


def test_wrong_missing_and_extra_scores_are_caught_alone() -> None:
    visit = a_visit(wish="09:10")
    day = a_day(visit, aims=("placed", "wish"))
    plan = a_plan(day, placed(visit, "09:00"))
    assert plan.scores == {"placed": 0, "wish": 10}
    wrong: list[dict[AimName, int]] = [
        {"placed": 0, "wish": 11},
        {"placed": 0},
        {"placed": 0, "wish": 10, "finish": 10},
    ]
    for scores in wrong:
        assert [breach.rule for breach in verify(day, replace(plan, scores=scores))] == ["scores"]
