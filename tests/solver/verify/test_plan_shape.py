"""The check ``shape``: whether a plan is of its day at all."""

from dataclasses import replace
from datetime import date

import pytest

from solver.schedule import Clash, LeftOut, Plan
from solver.verify import verify
from tests.builders import (
    a_break,
    a_break_taken,
    a_day,
    a_part,
    a_plan,
    a_therapist,
    a_visit,
    an_infeasible_plan,
    fixed,
    left_out,
    placed,
    set_up,
    tidy_up,
)

ONE = a_visit(a_part(set_up(5), tidy_up(5)), a_part(), id="V1", fixed=fixed())
TWO = a_visit(id="V2")
DAY = a_day(ONE, TWO, staff=[a_therapist(breaks=[a_break()])])
FIRST, SECOND = placed(ONE, "09:00"), placed(TWO, "10:00", bay="F2")
PAUSE = a_break_taken("T1", "10:30")
RIGHT = a_plan(DAY, FIRST, SECOND, breaks=[PAUSE])
FIRST_PART, SECOND_PART = FIRST.parts
CLASH = Clash(id="V1", rules=("hours",))

WRONG: dict[str, Plan] = {
    "another date": replace(RIGHT, date=date(2031, 3, 5)),
    "a visit that the day does not have": replace(RIGHT, visits=(*RIGHT.visits, replace(SECOND, id="V9"))),
    "a visit placed twice": replace(RIGHT, visits=(*RIGHT.visits, SECOND)),
    "a visit placed and left out": replace(RIGHT, left_out=(left_out("V2"),)),
    "a visit left out twice": replace(RIGHT, visits=(FIRST,), left_out=(left_out("V2"), left_out("V2"))),
    "a visit neither placed nor left out": replace(RIGHT, visits=(FIRST,)),
    "a fixed visit neither placed nor left out": replace(RIGHT, visits=(SECOND,)),
    "an unknown visit left out": replace(RIGHT, left_out=(left_out("V9"),)),
    "left out without a reason": a_plan(DAY, FIRST, left=[LeftOut(id="V2", reasons=())], breaks=[PAUSE]),
    "a part that the visit does not have": replace(
        RIGHT, visits=(FIRST, replace(SECOND, parts=(FIRST_PART, SECOND_PART)))
    ),
    "a part missing": replace(RIGHT, visits=(replace(FIRST, parts=(FIRST_PART,)), SECOND)),
    "no parts": replace(RIGHT, visits=(replace(FIRST, parts=()), SECOND)),
    "parts in another order": replace(RIGHT, visits=(replace(FIRST, parts=(SECOND_PART, FIRST_PART)), SECOND)),
    "too few hands": replace(
        RIGHT, visits=(replace(FIRST, parts=(replace(FIRST_PART, hands=("T1",)), SECOND_PART)), SECOND)
    ),
    "too many hands": replace(
        RIGHT, visits=(replace(FIRST, parts=(replace(FIRST_PART, hands=("T1",) * 3), SECOND_PART)), SECOND)
    ),
    "a conflict beside a plan": replace(RIGHT, conflict=(CLASH,)),
    "infeasible with visits": replace(RIGHT, status="infeasible", breaks=(), scores={}, bounds={}, conflict=(CLASH,)),
    "infeasible with breaks": replace(an_infeasible_plan(DAY, CLASH), breaks=(PAUSE,)),
    "infeasible with a visit left out": replace(an_infeasible_plan(DAY, CLASH), left_out=(left_out("V2"),)),
    "infeasible with scores": replace(an_infeasible_plan(DAY, CLASH), scores={"placed": 0}),
    "infeasible with bounds": replace(an_infeasible_plan(DAY, CLASH), bounds={"placed": 0}),
    "infeasible without a conflict": an_infeasible_plan(DAY),
    "an unknown visit in the conflict": an_infeasible_plan(DAY, Clash(id="V9", rules=("hours",))),
}


def test_the_right_plans_are_right() -> None:
    assert verify(DAY, RIGHT) == []
    assert verify(DAY, an_infeasible_plan(DAY, CLASH, Clash(id="T1", rules=("break",)))) == []


@pytest.mark.parametrize("name", WRONG)
def test_a_wrong_shape_is_caught_alone(name: str) -> None:
    assert {breach.rule for breach in verify(DAY, WRONG[name])} == {"shape"}


def test_what_is_in_shape_is_judged_all_the_same() -> None:
    plan = replace(RIGHT, visits=(replace(FIRST, parts=()), placed(TWO, "11:59", bay="F2")))
    assert {breach.rule for breach in verify(DAY, plan)} == {"shape", "hours", "patient"}
