"""The battery minute by minute. 10 Wh are 600 watt-minutes; ``levels[i]`` is the level after minute 09:00 + i."""

from collections.abc import Sequence

from solver.clinic import Battery
from solver.problem import Day
from solver.schedule import PlacedVisit
from solver.verify.energy import BatteryTrace, battery_trace
from solver.visits import Visit
from tests.builders import a_battery, a_day, a_part, a_place, a_plan, a_unit, a_visit, placed, set_up, span, unattended


def traced(battery: Battery, visits: Sequence[Visit], *placed_visits: PlacedVisit, move_min: int = 0) -> BatteryTrace:
    day = on(battery, *visits, move_min=move_min)
    trace = battery_trace(day, a_plan(day, *placed_visits), day.units[0])
    assert trace is not None
    assert len(trace.levels) == day.close - day.open
    return trace


def on(battery: Battery | None, *visits: Visit, move_min: int = 0) -> Day:
    return a_day(
        *visits,
        move_min=move_min,
        units=[a_unit(places=["front", "back"], patients_at_once=3, battery=battery)],
        places=[a_place(bays=["F1", "F2", "F3"]), a_place("back", ["B1"])],
    )


def test_a_unit_on_mains_has_no_trace() -> None:
    day = on(None)
    assert battery_trace(day, a_plan(day), day.units[0]) is None


def test_start_and_reserve_are_rounded_against_the_plan() -> None:
    battery = a_battery(capacity_wh=1, start_pct=99, reserve_pct=99)
    assert (battery.start_wmin, battery.reserve_wmin) == (59, 60)


def test_standing_by_draws_down_to_nothing_and_no_further() -> None:
    trace = traced(a_battery(standby_w=7), [])
    assert trace.levels[:2] == (593, 586)
    assert trace.levels[84:87] == (5, 0, 0)


def test_only_running_phases_draw_and_for_each_channel() -> None:
    visit = a_visit(a_part(set_up(2), unattended(2), channels={"pads": 2}))
    trace = traced(a_battery(standby_w=1), [visit], placed(visit, "09:00"))
    assert trace.levels[:5] == (599, 598, 577, 556, 555)


def test_the_pump_draws_once() -> None:
    visits = [a_visit(a_part(unattended(3), channels={"cups": 1}, suction_kpa=20), id=f"V{i}") for i in range(2)]
    trace = traced(
        a_battery(pump_w=5),
        visits,
        placed(visits[0], "09:00"),
        placed(visits[1], "09:01", bay="F2", channels={"cups": ["s2"]}),
    )
    assert trace.levels[:5] == (585, 560, 535, 520, 520)


def test_charging_stops_at_capacity_and_draws_nothing() -> None:
    trace = traced(a_battery(start_pct=50, standby_w=3, charge_w=200), [])
    assert trace.levels[:3] == (500, 600, 600)
    assert trace.charging == (span("09:00-12:00"),)


def test_the_wait_within_a_stay_is_not_idle() -> None:
    for same_unit, charging in ((True, ["09:50-12:00"]), (False, ["09:10-09:40", "09:50-12:00"])):
        visit = a_visit(a_part(unattended(10)), a_part(unattended(10)), same_unit=same_unit)
        trace = traced(a_battery(charge_w=5), [visit], placed(visit, "09:00", "09:40"))
        assert trace.charging == tuple(span(text) for text in charging)


def test_idle_from_the_last_end_of_several_stays() -> None:
    long, short = a_visit(a_part(unattended(40)), id="V1"), a_visit(a_part(unattended(5)), id="V2")
    trace = traced(
        a_battery(charge_w=5),
        [long, short],
        placed(long, "09:20"),
        placed(short, "09:30", bay="F2", channels={"pads": ["s2"]}),
    )
    assert trace.charging == (span("09:00-09:20"), span("10:00-12:00"))


def test_a_move_is_made_at_the_end_of_the_idle_time_between_two_places_only() -> None:
    one, other = a_visit(id="V1"), a_visit(id="V2")
    trace = traced(
        a_battery(charge_w=5),
        [one, other],
        placed(one, "09:30"),
        placed(other, "10:30", place="back", bay="B1"),
        move_min=10,
    )
    assert trace.charging == (span("09:00-09:30"), span("09:40-10:20"), span("10:40-12:00"))


def test_the_place_before_a_move_is_that_of_the_stay_that_ends_last() -> None:
    long, short, after = a_visit(a_part(unattended(40)), id="V1"), a_visit(id="V2"), a_visit(id="V3")
    trace = traced(
        a_battery(charge_w=5),
        [long, short, after],
        placed(long, "09:00"),
        placed(short, "09:10", bay="F2", channels={"pads": ["s2"]}),
        placed(after, "10:10", place="back", bay="B1"),
        move_min=5,
    )
    assert trace.charging == (span("09:40-10:05"), span("10:20-12:00"))


def test_short_idle_times_and_a_charger_of_no_watts_charge_nothing() -> None:
    visit = a_visit(a_part(unattended(151)))
    assert traced(a_battery(charge_w=5), [visit], placed(visit, "09:14")).charging == (span("11:45-12:00"),)
    assert traced(a_battery(charge_w=0), [visit], placed(visit, "09:14")).charging == ()


def test_with_no_shortest_charge_every_idle_minute_counts() -> None:
    visits = [a_visit(id="V1"), a_visit(id="V2"), a_visit(id="V3")]
    trace = traced(
        a_battery(charge_w=5, min_charge_min=0),
        visits,
        *(placed(visit, start) for visit, start in zip(visits, ("09:00", "09:10", "09:21"), strict=True)),
    )
    assert trace.charging == (span("09:20-09:21"), span("09:31-12:00"))
