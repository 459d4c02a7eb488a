"""Published utilisation figures, through the functions that the report itself counts with."""

import pytest

from app.views.use.tables import tables
from solver.report import report, utilisation
from solver.report.sums import added
from tests.builders import a_channel, a_day, a_part, a_plan, a_unit, a_visit, hands_on, placed, set_up


def test_raw_utilisation_as_published() -> None:
    # Published operating-room worked figures: 37,573 of 46,080 minutes are 81.54 %.
    assert utilisation(37_573, 46_080) == pytest.approx(0.8154, abs=0.00005)


def test_adjusted_utilisation_as_published() -> None:
    # The same worked figures with set-up and turnover in the time used: 39,668 of 46,080 minutes are 86.09 %.
    assert utilisation(39_668, 46_080) == pytest.approx(0.8609, abs=0.00005)


def test_the_textbook_example() -> None:
    # Miller's Anesthesia, 6th ed., worked example: 72 hours of use in 2 rooms on 5 days of 8 hours are 90 %.
    assert utilisation(72 * 60, 2 * 5 * 8 * 60) == 0.9


def test_a_day_in_the_published_proportion_is_reported_with_the_published_figures() -> None:
    # The textbook's 90 % again, as a whole day through the report: two channels for 8 hours, used for 7.2 hours each,
    # of which the last 72 minutes are set-up: raw then leaves them out (Miller's Anesthesia, 6th ed., defines both).
    visits = [a_visit(a_part(hands_on(360), set_up(72)), id=f"V{i}") for i in (1, 2)]
    unit = a_unit(channels=[a_channel("s1"), a_channel("s2")])
    day = a_day(*visits, open="09:00", close="17:00", units=[unit])
    plan = a_plan(
        day,
        *(placed(visit, "09:00", bay=f"F{i}", channels={"pads": [f"s{i}"]}) for i, visit in enumerate(visits, start=1)),
    )
    figures = report(day, plan)["units"][0]
    assert (figures["raw"], figures["adjusted"]) == (0.75, 0.9)


def test_nothing_available_is_nothing_used() -> None:
    assert utilisation(0, 0) == 0.0


def test_published_figures_through_sums_of_days_and_the_table_of_the_page() -> None:
    # Published operating-room worked figures: of 46,080 minutes 37,573 are 81.54 % raw, 39,668 are 86.09 % adjusted.
    days = [
        {"rooms": {"R": {"available_min": 23_040, "used_min": 18_000, "held_min": 19_000}}},
        {"rooms": {"R": {"available_min": 23_040, "used_min": 19_573, "held_min": 20_668}}},
    ]
    row = added(days)["rooms"]["R"]
    raw, adjusted = (utilisation(row[of], row["available_min"]) for of in ("used_min", "held_min"))
    assert raw == pytest.approx(0.8154, abs=0.00005)
    assert adjusted == pytest.approx(0.8609, abs=0.00005)
    shown = {table.name: table.rows for table in tables({"bays": added(days)["rooms"]}, {}, {}, {})}
    assert shown["bays"] == (("R", "46080", "37573", "39668", "81.54", "86.09"),)


def test_overall_effectiveness_is_the_product_of_its_three_ratios() -> None:
    # The identity of ISO 22400-2 (the worked numbers are ours): good pieces' planned time over planned busy time.
    busy, actual, each, made, good = 480, 400, 15, 24, 23
    product = utilisation(actual, busy) * utilisation(each * made, actual) * utilisation(good, made)
    assert product == pytest.approx(utilisation(each * good, busy), abs=0.000002)
    assert product == pytest.approx(0.71875, abs=0.000002)
