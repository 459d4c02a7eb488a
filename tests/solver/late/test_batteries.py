"""How long a battery lasted, counted by hand: from full until said to be empty, or until it could be charged."""

from solver.clinic import Battery
from solver.late.batteries import Row, batteries
from tests.builders import a_battery, a_day, a_part, a_plan, a_unit, a_visit, placed, still, unattended

FULL = a_battery(capacity_wh=10, standby_w=1, charge_w=60, min_charge_min=15)
"""600 watt-minutes; ten minutes of charging fill it."""


def _seen(battery: Battery, empties: list[int], *visits: tuple[str, int], close: str = "13:00") -> Row:
    """Visits by start and minutes that run, each after two minutes in which nothing does, on one unit from 09:00."""
    asked = [
        a_visit(a_part(still(2), unattended(minutes)), id=f"V{n}", patient=f"P{n}")
        for n, (_, minutes) in enumerate(visits)
    ]
    day = a_day(*asked, open="09:00", close=close, units=(a_unit(battery=battery),), step_min=1)
    plan = a_plan(day, *(placed(visit, start) for visit, (start, _) in zip(asked, visits, strict=True)))
    return batteries(day, plan, {"U1": empties})["U1"]


def test_a_run_from_full_until_it_is_said_to_be_empty() -> None:
    seen = _seen(FULL, [9 * 60 + 30], ("09:00", 20), ("09:25", 20))
    assert (seen["empty"], seen["empty_run_min"]) == (1, 20 + 3)
    assert seen["empty_drawn_wmin"] == 30 * 1 + 23 * 10
    assert (seen["not_full"], seen["charged"]) == (0, 0)


def test_what_was_not_full_before_is_left_aside_and_said() -> None:
    half = a_battery(capacity_wh=10, start_pct=50, charge_w=60)
    seen = _seen(half, [9 * 60 + 10], ("09:00", 20), close="09:30")
    assert (seen["empty"], seen["not_full"]) == (0, 1)
    twice = _seen(FULL, [9 * 60 + 10, 9 * 60 + 20], ("09:00", 40), close="09:45")
    assert (twice["empty"], twice["empty_run_min"], twice["not_full"]) == (1, 8, 1)


def test_a_charge_ends_a_run_and_only_a_whole_one_begins_another() -> None:
    seen = _seen(FULL, [], ("09:00", 20), ("09:40", 30), close="10:20")
    assert (seen["charged"], seen["charged_run_min"], seen["peak_charged_run_min"]) == (1, 20, 20)
    slow = a_battery(capacity_wh=10, charge_w=1, min_charge_min=15)
    late = _seen(slow, [10 * 60], ("09:00", 20), ("09:40", 30), close="10:20")
    assert (late["charged"], late["empty"], late["not_full"]) == (1, 0, 1)


def test_standing_idle_too_briefly_is_no_charge() -> None:
    seen = _seen(FULL, [10 * 60], ("09:00", 20), ("09:36", 30), close="10:10")
    assert (seen["empty"], seen["empty_run_min"], seen["charged"]) == (1, 20 + 22, 0)


def test_a_unit_on_mains_is_not_counted() -> None:
    visit = a_visit(a_part(unattended(20)))
    day = a_day(visit)
    assert batteries(day, a_plan(day, placed(visit, "09:00")), {}) == {}
