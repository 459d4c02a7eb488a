"""Energy arithmetic through the battery's own count: watts × minutes, against capacity and reserve.

14.4 V × 5.2 Ah = 74.88 Wh; a contract's capacity is a whole number of watt-hours, so 75 Wh less a reserve of 20 % are
60 Wh, which 40 W draw down in exactly 90 minutes. Arithmetic from the definition of the watt-hour (SI: 1 W·h = 3600 J);
the figures are invented and describe no real unit.
"""

import pytest

from solver.verify import verify
from solver.verify.energy import battery_trace
from tests.builders import a_battery, a_day, a_part, a_plan, a_unit, a_visit, placed, unattended

CAPACITY_WH = round(14.4 * 5.2)
RESERVE_PCT = 20
DRAW_W = 40
MINUTES_TO_RESERVE = 90


@pytest.mark.parametrize(("minutes", "broken"), [(MINUTES_TO_RESERVE, set()), (MINUTES_TO_RESERVE + 1, {"battery"})])
def test_a_battery_lasts_to_the_minute_that_its_watt_hours_give(minutes: int, broken: set[str]) -> None:
    battery = a_battery(
        capacity_wh=CAPACITY_WH, reserve_pct=RESERVE_PCT, draw_w={"ultrasound": 0, "pads": DRAW_W, "cups": 0}
    )
    visit = a_visit(a_part(unattended(minutes)))
    day = a_day(visit, units=[a_unit(battery=battery)])
    plan = a_plan(day, placed(visit, "09:00"))
    assert {breach.rule for breach in verify(day, plan)} == broken


def test_the_level_falls_by_the_energy_drawn_and_no_more() -> None:
    visit = a_visit(a_part(unattended(MINUTES_TO_RESERVE)))
    unit = a_unit(battery=a_battery(capacity_wh=CAPACITY_WH, draw_w={"ultrasound": 0, "pads": DRAW_W, "cups": 0}))
    day = a_day(visit, units=[unit])
    trace = battery_trace(day, a_plan(day, placed(visit, "09:00")), unit)
    assert trace is not None
    assert CAPACITY_WH == 75
    assert trace.levels[-1] / 60 == CAPACITY_WH - DRAW_W * MINUTES_TO_RESERVE / 60 == 15.0
