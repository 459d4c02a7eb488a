"""Pictures of use: nothing is drawn over its frame, lengths are those of the figures, and what is not drawn is told."""

import datetime

import pytest

from app.views.use.days_beside import ENDS_HEIGHT, MOST_DAYS, step_tables, steps
from app.views.use.pictures import HEIGHT, heat_of, share_bar
from app.views.use.treatments import MOST_DRAWN, treatment_bars, treatment_table
from solver.report.sums import PlannedAndActual, Row, Sums

MONDAY = datetime.date(2031, 3, 3)


def _day(used: int, end: int) -> Sums:
    clinic = {"available_min": 6000, "used_min": used, "held_min": used, "days": 1, "peak_end": end}
    kept = dict.fromkeys(("visits", "begun", "missed", "late"), 1)
    return {"clinic": {"all": clinic}, "record": {"all": kept}}


def _days(count: int) -> dict[datetime.date, PlannedAndActual]:
    return {
        MONDAY + datetime.timedelta(days=number): PlannedAndActual(_day(1200, 1020), _day(600, 1035))
        for number in range(count)
    }


def test_a_share_beyond_all_is_said_and_drawn_to_the_end() -> None:
    bar = share_bar("actual", {"available_min": 100, "used_min": 90, "held_min": 130}, "Rowan")
    assert (bar.used, bar.held, bar.text) == (90, 100, "90 % / 130 %")


def test_an_hour_in_which_nothing_was_in_service_says_its_minutes() -> None:
    row: Row = {"available_min": 0, "used_min": 5, "held_min": 12}
    empty = {**row, "held_min": 0}
    picture = heat_of([("Mon", {"hours": {"17": row, "18": empty}}), ("Tue", {"hours": {"17": empty}})], 50)
    assert [[cell.text for cell in line.cells] for line in picture.rows] == [["+12", ""], ["", ""]]


@pytest.mark.parametrize(("used", "top"), [(0, "2 h"), (1200, "20 h"), (1330, "24 h"), (60 * 205, "240 h")])
def test_hours_are_drawn_under_a_round_line(used: int, top: str) -> None:
    found = steps({MONDAY: PlannedAndActual(_day(used, 1020), _day(used // 2, 1020))})
    assert (found.running[-1].height, found.running[-1].text) == (HEIGHT, top)
    one = found.steps[0]
    assert one.planned == pytest.approx(HEIGHT * used / 60 / int(top.split()[0]), abs=0.1)
    assert one.actual == pytest.approx(one.planned / 2, abs=0.1)


def test_ends_are_drawn_between_whole_hours_of_the_clock() -> None:
    found = steps({MONDAY: PlannedAndActual(_day(60, 1020), _day(60, 1035))})
    assert [(line.height, line.text) for line in found.ends] == [(0, "17:00"), (ENDS_HEIGHT, "18:00")]
    assert (found.steps[0].planned_end, found.steps[0].actual_end) == (0, ENDS_HEIGHT / 4)
    nobody = steps({MONDAY: PlannedAndActual(_day(0, 0), _day(0, 0))})
    assert (nobody.steps[0].planned_end, nobody.steps[0].actual_end) == (None, None)


def test_many_days_are_drawn_by_week_and_both_tables_are_there() -> None:
    few, many = steps(_days(MOST_DAYS)), steps(_days(MOST_DAYS + 1))
    assert (few.by, few.table, len(few.steps)) == ("day", "actual-days", MOST_DAYS)
    assert (many.by, many.table, len(many.steps)) == ("week", "actual-weeks", 5)
    days, weeks = step_tables(_days(MOST_DAYS + 1))
    assert (len(days.rows), len(weeks.rows)) == (MOST_DAYS + 1, 5)
    assert sum(int(row[1]) for row in days.rows) == sum(int(row[1]) for row in weeks.rows)
    assert weeks.rows[0] == ("2031-03-03", "8400", "4200", "8400", "4200", "17:00", "17:15", "7", "7", "7", "7")


def test_the_longest_treatments_are_drawn_and_those_without_one_and_the_table_has_all() -> None:
    counts = dict.fromkeys(("visits_placed", "visits_left_out", "used_min", "hands_min"), 1)
    rows = {f"t{number}": {**counts, "held_min": 60 * number} for number in range(1, MOST_DRAWN + 3)}
    whole = {"treatments": {"": {**counts, "held_min": 30}, **rows}}
    bars = treatment_bars(whole, {"treatments": {"t12": "Pads"}})
    assert [bar.group for bar in bars[:2]] == ["Pads", "t11"]
    assert (len(bars), bars[-1].group) == (MOST_DRAWN + 1, "Booked without one of the catalogue")
    assert (bars[0].held, bars[0].text, bars[0].name) == (100, "0.0 h / 12.0 h", "1 visit")
    assert len(treatment_table(whole, {}).rows) == MOST_DRAWN + 3
