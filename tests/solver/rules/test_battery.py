"""The rule ``battery``. Batteries hold 600 watt-minutes when full; a running channel draws 10 W."""

import pytest

from solver.clinic import Battery
from solver.problem import Day
from solver.verify import verify
from solver.visits import Visit
from tests.builders import a_battery, a_day, a_part, a_place, a_plan, a_unit, a_visit, placed, set_up, unattended
from tests.solver.rules.boundary import BoundaryCase, assert_boundary


def on_battery(battery: Battery, *visits: Visit, move_min: int = 0) -> Day:
    return a_day(
        *visits,
        move_min=move_min,
        units=[a_unit(places=["front", "back"], battery=battery)],
        places=[a_place(), a_place("back", ["B1"])],
    )


def drawn_by_standing_by() -> BoundaryCase:
    """25 minutes draw 275, so that 25 minutes of standing by at 1 W lead to the reserve of 300 exactly."""
    visit = a_visit(a_part(unattended(25)))
    day = on_battery(a_battery(standby_w=1, reserve_pct=50), visit)
    kept, broken = (a_plan(day, placed(visit, start)) for start in ("09:25", "09:26"))
    return BoundaryCase("battery", "the reserve after the last minute", day, kept, broken)


def charged_before_the_first_stay() -> BoundaryCase:
    """From 0 by 30 W in 14 minutes to 420, and ten running minutes draw 100; the reserve is 300."""
    visit = a_visit(a_part(unattended(10)))
    day = on_battery(a_battery(start_pct=0, reserve_pct=50, charge_w=30, min_charge_min=1), visit)
    kept, broken = (a_plan(day, placed(visit, start)) for start in ("09:14", "09:13"))
    return BoundaryCase("battery", "charged before the first stay", day, kept, broken)


def charged_between_stays(name: str, kept: str, broken: str, move_min: int = 0) -> BoundaryCase:
    """Stays of 20 and 40 minutes draw 200 and 400: a charge in between is needed to keep the reserve of 180."""
    one, other = a_visit(a_part(unattended(20)), id="V1"), a_visit(a_part(unattended(40)), id="V2")
    day = on_battery(a_battery(reserve_pct=30, charge_w=100, min_charge_min=15), one, other, move_min=move_min)
    place, bay = ("back", "B1") if move_min else ("front", "F1")
    plans = [a_plan(day, placed(one, "09:00"), placed(other, start, place=place, bay=bay)) for start in (kept, broken)]
    return BoundaryCase("battery", name, day, plans[0], plans[1])


CASES = [
    drawn_by_standing_by(),
    charged_before_the_first_stay(),
    charged_between_stays("the shortest charge", "09:35", "09:34"),
    charged_between_stays("a move shortens the charge", "09:40", "09:39", move_min=5),
]


@pytest.mark.parametrize("case", CASES, ids=str)
def test_boundary(case: BoundaryCase) -> None:
    assert_boundary(case)


def test_only_minutes_with_a_stay_are_judged() -> None:
    visit = a_visit(a_part(unattended(10)))
    drained = a_battery(start_pct=10, reserve_pct=50, charge_w=30)
    day = on_battery(drained, visit)
    assert verify(day, a_plan(day)) == []
    assert verify(day, a_plan(day, placed(visit, "11:00"))) == []


def test_a_minute_with_a_stay_is_judged_though_nothing_runs() -> None:
    visit = a_visit(a_part(set_up(1)))
    day = on_battery(a_battery(start_pct=10, reserve_pct=50), visit)
    assert [breach.rule for breach in verify(day, a_plan(day, placed(visit, "09:00")))] == ["battery"]
