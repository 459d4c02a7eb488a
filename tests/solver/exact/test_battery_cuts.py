"""What the exact model learns about batteries holds for every plan that the verifier allows."""

from dataclasses import replace

from hypothesis import event, given, settings

from solver.clock import Interval
from solver.compose import plan_of
from solver.masks.energy import keeps_reserve, load_of
from solver.masks.ledger import Ledger
from solver.masks.offers import best_offer
from solver.masks.pauses import take_break
from solver.problem import Day
from solver.rules.battery import Box, proves_flat
from solver.search import solve
from solver.verify import verify
from tests.builders import a_battery, a_channel, a_day, a_part, a_place, a_unit, a_visit, hands_on, still
from tests.solver.exact.hinting import accepted
from tests.solver.small_days import small_days


def a_moving_day() -> Day:
    """The second stay takes the unit to the back early, where it charges until the third.

    Full is 120, the reserve 60 watt-minutes. Arriving at the back after 15 minutes of moving leaves 90, and a treatment
    takes 50: too much, unless the unit was plugged in again since it moved.
    """
    treated, looked_at = a_part(hands_on(10)), a_part(still(5))
    battery = a_battery(capacity_wh=2, reserve_pct=50, standby_w=2, draw_w={"pads": 3}, charge_w=60, min_charge_min=5)
    return a_day(
        a_visit(treated, id="V1", free="09:00-09:10", place_tags=["a"]),
        a_visit(looked_at, id="V2", free="09:30-09:35", place_tags=["b"]),
        a_visit(treated, id="V3", free="10:30-10:40", place_tags=["b"]),
        open="09:00",
        close="11:00",
        step_min=5,
        move_min=15,
        units=[a_unit(channels=[a_channel("s1", "pads")], places=["front", "back"], battery=battery)],
        places=[a_place("front", bays=["F1"], tags=["a"]), a_place("back", bays=["B1"], tags=["b"])],
    )


def test_a_further_stay_can_save_a_battery_that_a_move_would_drain() -> None:
    day = a_moving_day()
    plan = solve(day, workers=1)
    assert (plan.status, plan.left_out) == ("optimal", ())
    fewer = replace(plan, visits=tuple(placed for placed in plan.visits if placed.id != "V2"))
    assert {breach.rule for breach in verify(day, fewer)} >= {"battery"}
    assert accepted(day, plan, learnt_from=[fewer]) is not None


@settings(max_examples=150, deadline=None, derandomize=True)
@given(small_days("battery"))
def test_flat_is_only_said_of_what_is_flat(day: Day) -> None:
    """Boxes of one point each: what is proved flat runs below its reserve when reckoned."""
    for unit in day.units:
        if unit.battery is None or unit.battery.reserve_wmin == 0:
            continue  # without a reserve nothing is ever too low, and the model does not ask
        loads = []
        start = day.open
        for visit in day.visits:
            part = visit.parts[0]
            loads.append(load_of(unit.battery, Interval(start, start + part.minutes), "", [(part, start)]))
            start += part.minutes + 5
            boxes = [Box(load, *(Interval(minute, minute) for minute in load.stay)) for load in loads]
            flat = proves_flat(unit.battery, day.open, boxes)
            event(f"flat {flat}")
            assert not (flat and keeps_reserve(unit.battery, day.open, 0, loads))


@settings(max_examples=60, deadline=None, derandomize=True)
@given(small_days("battery"))
def test_what_is_learnt_forbids_its_lesson_and_never_the_best_plan(day: Day) -> None:
    best = solve(day, workers=1)
    ledger = Ledger(day)
    for visit in day.visits:
        placed = best_offer(ledger, visit, without=frozenset({"battery"}))
        if placed is not None:
            ledger.add(placed)
    for member in day.staff:
        for index in range(len(member.breaks)):
            take_break(ledger, member, index)
    reckless = plan_of(day, ledger.visits, ledger.breaks)
    flat = "battery" in {breach.rule for breach in verify(day, reckless)}
    event(f"too low {flat}")
    if best.status != "infeasible":
        assert accepted(day, best, learnt_from=[reckless]) is not None
    if flat and len(ledger.breaks) == sum(len(member.breaks) for member in day.staff):
        assert accepted(day, reckless) is None
