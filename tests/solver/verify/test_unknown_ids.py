"""An id that the day does not have is told about once, by the rule that owns it."""

import pytest

from solver.schedule import PlacedVisit
from solver.verify import verify
from tests.builders import (
    a_battery,
    a_break_taken,
    a_day,
    a_part,
    a_plan,
    a_unit,
    a_visit,
    an_applicator,
    placed,
    placed_part,
    set_up,
    tidy_up,
    unattended,
)

VISIT = a_visit(a_part(set_up(5), unattended(10), tidy_up(5), applicators={"heads": 1}, suction_kpa=20))
BESIDE = a_visit(a_part(unattended(20)), id="V2")
DAY = a_day(
    VISIT,
    BESIDE,
    units=[a_unit(battery=a_battery(capacity_wh=100))],
    applicators=[an_applicator("heads", turnaround_min=10)],
    move_min=5,
    bay_turnover_min=5,
)
PART = VISIT.parts[0]

UNKNOWN: dict[str, tuple[str, PlacedVisit]] = {
    "unit": ("unit", placed(VISIT, "09:00", unit="nowhere")),
    "place": ("unit", placed(VISIT, "09:00", place="nowhere")),
    "bay": ("unit", placed(VISIT, "09:00", bay="nowhere")),
    "channel": ("channels", placed(VISIT, "09:00", channels={"pads": ["none"]})),
    "output": ("channels", placed(VISIT, "09:00", channels={"pads": ["s1"], "none": ["u1"]})),
    "item": ("applicator", placed(VISIT, "09:00", items={"heads": ["none"]})),
    "applicator": ("applicator", placed(VISIT, "09:00", items={"heads": ["heads-1"], "none": ["heads-2"]})),
    "therapist": ("hands", placed(VISIT, placed_part(PART, "09:00", hands=["T9", None, "T1"]))),
    "staff": ("hands", placed(VISIT, placed_part(PART, "09:00", hands=["T1", None, "T9"]))),
}


@pytest.mark.parametrize("what", UNKNOWN)
def test_told_once_by_its_own_rule(what: str) -> None:
    rule, visit = UNKNOWN[what]
    plan = a_plan(DAY, visit, placed(BESIDE, "09:00", bay="F2", channels={"pads": ["s2"]}))
    assert [breach.rule for breach in verify(DAY, plan)] == [rule]


def test_a_break_of_somebody_unknown() -> None:
    plan = a_plan(DAY, breaks=[a_break_taken("T9", "10:00"), a_break_taken("T9", "10:05")])
    assert [breach.rule for breach in verify(DAY, plan)] == ["break"]
