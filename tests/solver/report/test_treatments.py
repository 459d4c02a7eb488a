"""What each treatment's visits use: by hand on a small day, and summing to the whole report on drawn plans."""

from dataclasses import replace

from hypothesis import HealthCheck, given, settings

from solver.late.actual import Given, Stretch, actual_day
from solver.problem import Day
from solver.report import report
from solver.report.sums import added, day_sums
from solver.report.treatments import treatment_rows
from solver.schedule import LeftOut, Plan
from tests.builders import (
    a_channel,
    a_day,
    a_part,
    a_plan,
    a_unit,
    a_visit,
    hands_on,
    placed,
    placed_part,
    set_up,
    unattended,
)
from tests.solver.report.right_plans import right_plans

BOTH = a_visit(a_part(set_up(5), unattended(20), channels={"ultrasound": 1, "pads": 1}), id="V1", patient="Ann")
BEA = a_visit(a_part(hands_on(30)), id="V2", patient="Bea")
CY = a_visit(a_part(hands_on(30)), id="V3", patient="Cy")
DEE = a_visit(a_part(hands_on(10)), id="V4", patient="Dee")
UNIT = a_unit(channels=[a_channel("u1", "ultrasound"), a_channel("s1"), a_channel("s2")])
DAY = a_day(BOTH, BEA, CY, DEE, open="09:00", close="11:30", units=[UNIT])
PLAN = replace(
    a_plan(
        DAY,
        placed(BOTH, placed_part(BOTH.parts[0], "09:00", channels={"ultrasound": ["u1"], "pads": ["s1"]})),
        placed(BEA, "10:00", bay="F2", channels={"pads": ["s2"]}),
        placed(DEE, "11:00", channels={"pads": ["s1"]}),
    ),
    left_out=(LeftOut(id="V3", reasons=()),),
)
BOOKED = {"V1": "two", "V2": "pads", "V3": "pads"}
NONE = {"visits_placed": 0, "visits_left_out": 0, "used_min": 0, "held_min": 0, "hands_min": 0}


def test_rows_by_hand_with_one_of_its_own_for_visits_without_a_treatment() -> None:
    assert treatment_rows(DAY, PLAN, BOOKED) == {
        "two": {**NONE, "visits_placed": 1, "used_min": 40, "held_min": 50, "hands_min": 5},
        "pads": {"visits_placed": 1, "visits_left_out": 1, "used_min": 30, "held_min": 30, "hands_min": 30},
        "": {**NONE, "visits_placed": 1, "used_min": 10, "held_min": 10, "hands_min": 10},
    }


def test_a_day_that_was_run_is_counted_the_same_way() -> None:
    run = {("V2", 0): Given(605, (Stretch(0, 25, False, "T1"), Stretch(0, 5, True, None), Stretch(0, 12, False, "T1")))}
    rows = day_sums(*actual_day(DAY, PLAN, run), BOOKED)["treatments"]
    assert rows["pads"] == {"visits_placed": 1, "visits_left_out": 1, "used_min": 37, "held_min": 42, "hands_min": 37}
    assert rows["two"] == {**NONE, "visits_left_out": 1}


@settings(max_examples=40, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
@given(right_plans())
def test_treatments_sum_to_the_report(drawn: tuple[Day, Plan]) -> None:
    day, plan = drawn
    figures = report(day, plan)
    booked = {visit.id: f"treatment {number % 2}" for number, visit in enumerate(day.visits) if number % 3}
    rows = day_sums(day, plan, booked)["treatments"].values()
    totals = {measure: sum(row[measure] for row in rows) for measure in NONE}
    assert totals["used_min"] == sum(row["running_min"] for row in figures["channels"])
    assert totals["held_min"] == sum(row["held_min"] for row in figures["channels"])
    assert totals["hands_min"] == sum(row["hands_min"] for row in figures["staff"])
    assert totals["visits_placed"] == figures["clinic"]["visits_placed"]
    assert totals["visits_left_out"] == figures["clinic"]["visits_left_out"]


def test_days_add_up_treatment_by_treatment() -> None:
    one, other = day_sums(DAY, PLAN, BOOKED), day_sums(DAY, PLAN, {"V4": "pads"})
    whole = added([one, other])["treatments"]
    assert whole["pads"]["held_min"] == 30 + 10
    assert whole[""]["held_min"] == 10 + 50 + 30
