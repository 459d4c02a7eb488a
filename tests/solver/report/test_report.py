"""The report against a slow count by minutes on drawn plans, and against a small example counted by hand."""

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings

from solver.jsonio import read_day, read_plan
from solver.problem import Day
from solver.report import Report, report
from solver.schedule import Plan
from solver.verify.energy import battery_trace
from tests.builders import a_battery, a_day, a_unit, a_visit, an_applicator, an_infeasible_plan
from tests.solver.report import by_minutes
from tests.solver.report.right_plans import right_plans

HERE = Path(__file__).parent


@settings(max_examples=60, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
@given(right_plans())
def test_every_figure_is_what_a_count_by_minutes_gives(drawn: tuple[Day, Plan]) -> None:
    day, plan = drawn
    figures = report(day, plan)
    _check_channels_and_units(day, plan, figures)
    _check_pools_and_bays(day, plan, figures)
    _check_staff_and_clinic(day, plan, figures)


def _check_channels_and_units(day: Day, plan: Plan, figures: Report) -> None:
    used = by_minutes.held_and_running(day, plan)
    assert {(row["unit"], row["id"]): (row["held_min"], row["running_min"]) for row in figures["channels"]} == used
    for unit, row in zip(day.units, figures["units"], strict=True):
        served = {minute for start, end in day.unit_hours(unit) for minute in range(start, end)}
        in_service = len(served & set(range(day.open, day.close)))
        patients = by_minutes.patients_by_minute(day, plan, unit.id)
        assert row["in_service_min"] == in_service
        assert row["occupied_min"] == sum(count > 0 for count in patients)
        assert row["parallel_min"] == sum(count > 1 for count in patients)
        assert row["peak_patients"] == max(patients)
        held, running = (sum(used[unit.id, channel.id][i] for channel in unit.channels) for i in (0, 1))
        assert row["adjusted"] * in_service * len(unit.channels) == pytest.approx(held, abs=0.001)
        assert row["raw"] * in_service * len(unit.channels) == pytest.approx(running, abs=0.001)
        trace = battery_trace(day, plan, unit)
        if trace is None or unit.battery is None:
            assert (row["charging_min"], row["lowest_pct"]) == (0, None)
        else:
            assert row["charging_min"] == len({m for start, end in trace.charging for m in range(start, end)})
            assert row["lowest_pct"] == pytest.approx(min(trace.levels) / unit.battery.capacity_wh / 0.6, abs=0.005)


def _check_pools_and_bays(day: Day, plan: Plan, figures: Report) -> None:
    length = day.close - day.open
    items = by_minutes.item_minutes(day, plan)
    for pool, pool_row in zip(day.applicators, figures["applicators"], strict=True):
        held = sum(len(items[item]) for item in pool.items)
        cleaned = sum(len(_after(items[item], pool.turnaround_min, day.close)) for item in pool.items)
        assert (pool_row["held_min"], pool_row["turnaround_min"]) == (held, cleaned)
        assert pool_row["raw"] == pytest.approx(held / (length * len(pool.items)), abs=1e-6)
        assert pool_row["adjusted"] == pytest.approx((held + cleaned) / (length * len(pool.items)), abs=1e-6)
    stays = list(by_minutes.stay_minutes(day, plan))
    for row in figures["bays"]:
        minutes = {minute for minute, _, bay in stays if bay == row["id"]}
        assert row["held_min"] == len(minutes)
        assert row["raw"] == pytest.approx(len(minutes) / length, abs=1e-6)
        assert row["adjusted"] == pytest.approx((len(minutes) + row["turnover_min"]) / length, abs=1e-6)
        if all(visit.same_unit for visit in day.visits):  # a roaming visit needs no turnover between its own stays
            assert row["turnover_min"] == len(_after(minutes, day.bay_turnover_min, day.close))


def _after(held: set[int], minutes: int, close: int) -> set[int]:
    """The minutes that follow held ones within so many, up to close, and are not held themselves."""
    return {later for minute in held for later in range(minute + 1, min(minute + minutes + 1, close))} - held


def _check_staff_and_clinic(day: Day, plan: Plan, figures: Report) -> None:
    slices = by_minutes.slices_by_minute(day, plan).values()
    for row in figures["staff"]:
        assert row["duty_min"] == len(by_minutes.on_duty(day, plan, row["id"]))
        assert row["hands_min"] == sum(any(each.who == row["id"] for each in some) for some in slices)
    clinic = figures["clinic"]
    patients = by_minutes.patients_by_minute(day, plan)
    histogram = {str(count): patients.count(count) for count in range(max(patients) + 1)}
    assert clinic["patients_histogram"] == histogram
    assert sum(clinic["patients_histogram"].values()) == day.close - day.open
    assert clinic["peak_patients"] == max(patients)
    assert clinic["lowest_free_watch"] == min(by_minutes.free_watch_by_minute(day, plan), default=None)
    assert (clinic["visits_placed"], clinic["visits_left_out"]) == (len(plan.visits), len(plan.left_out))


def test_the_small_example_counted_by_hand() -> None:
    # 09:00 to 12:00. U1: V1 09:15–09:35, V4 09:55–10:20, V5 10:35–10:57, V6 11:00–11:13, V3 11:30–11:47, none of them
    # at once; U2 until 11:30: V2 09:35–10:15 with a wait of 2 minutes inside. Both are busy 09:55–10:15.
    figures = report(read_day(HERE / "small-day.json"), read_plan(HERE / "small-plan.json"))
    first, second = figures["units"]
    assert first["occupied_min"] == 20 + 25 + 22 + 13 + 17
    assert second["occupied_min"] == 40
    assert (first["parallel_min"], second["parallel_min"]) == (0, 0)
    assert (first["in_service_min"], second["in_service_min"]) == (180, 150)
    # U1's u1: V6 and V3; s1: V1, V4, V5, V3; s2: V4. Running: 8 + 10; 10 + 15 + 12 + 10; 15.
    rows = {(row["unit"], row["id"]): (row["held_min"], row["running_min"]) for row in figures["channels"]}
    assert rows == {
        ("U1", "u1"): (13 + 17, 8 + 10),
        ("U1", "s1"): (20 + 25 + 22 + 17, 10 + 15 + 12 + 10),
        ("U1", "s2"): (25, 15),
        ("U2", "u1"): (13, 8),
        ("U2", "s1"): (25, 15),
        ("U2", "s2"): (0, 0),
    }
    assert first["raw"] == round(80 / 540, 6)
    assert first["adjusted"] == round(139 / 540, 6)
    pools = {row["id"]: (row["held_min"], row["turnaround_min"]) for row in figures["applicators"]}
    # Heads: V2, V6, V3, each cleaned 10. Pad sets: V2, V3, and V4 with two, each cleaned 5. Cup sets: V1, V5, 20 each.
    assert pools == {"heads": (13 + 13 + 17, 30), "pad-sets": (25 + 17 + 2 * 25, 20), "cup-sets": (42, 40)}
    bays = {row["id"]: (row["held_min"], row["turnover_min"]) for row in figures["bays"]}
    assert bays == {"F1": (20 + 25 + 13 + 17, 20), "F2": (40 + 22, 10), "B1": (0, 0)}
    # T1: V1 5 + 5, V2 13 + 5, V3 17, V4 5 + 5, V5 5 + 5, V6 13; A1: the last 5 of V2.
    staff = {row["id"]: (row["duty_min"], row["hands_min"]) for row in figures["staff"]}
    assert staff == {"T1": (165, 10 + 18 + 17 + 10 + 10 + 13), "A1": (180, 5)}
    clinic = figures["clinic"]
    assert clinic["patients_histogram"] == {"0": 180 - 97 - 40 + 20, "1": 97 + 40 - 40, "2": 20}
    # Therapist minutes: V1 5, V2 18, V3 17, V4 5, V5 5, V6 13 count 0, 1, 1, 0, 0, 1.
    assert clinic["counted_units"] == 3
    # While T1 is on a break A1 watches alone: 10:00–10:10 V2 and V4, 2 of 4; 10:10–10:15 V4 with busy hands, 1 of 2.
    assert clinic["lowest_free_watch"] == 1


def test_an_infeasible_plan_is_an_empty_day() -> None:
    visit = a_visit()
    day = a_day(visit, units=[a_unit(battery=a_battery())], applicators=[an_applicator("sets")])
    figures = report(day, an_infeasible_plan(day))
    assert figures["clinic"] == {
        "visits_placed": 0,
        "visits_left_out": 0,
        "peak_patients": 0,
        "parallel_share": 0.0,
        "patients_histogram": {"0": 180},
        "lowest_free_watch": None,
        "counted_units": 0,
    }
    assert figures["units"][0]["lowest_pct"] == 100.0


def test_no_ratio_divides_by_nothing() -> None:
    day = a_day(units=[a_unit(hours=("05:00-06:00",))], applicators=[an_applicator("none", [])])
    figures = report(day, an_infeasible_plan(day))
    assert (figures["channels"][0]["raw"], figures["units"][0]["adjusted"]) == (0.0, 0.0)
    assert (figures["applicators"][0]["raw"], figures["applicators"][0]["adjusted"]) == (0.0, 0.0)
