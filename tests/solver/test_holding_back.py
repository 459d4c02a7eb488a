"""What holds a day back: rows that add up, nothing without a name, and a day whose answer is known."""

from collections.abc import Iterator
from dataclasses import replace

import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st

from solver.clinic import Channel
from solver.holding_back import HoldingBack, Row, added_up, holding_back
from solver.problem import Day
from solver.schedule import Plan
from solver.whynot import whynot
from tests.builders import a_day, a_part, a_place, a_plan, a_therapist, a_unit, a_visit, hands_on, placed, unattended
from tests.solver.offering.test_offers import a_first_plan
from tests.solver.small_days import FEATURES, small_days


def asked_by_hand(day: Day, plan: Plan) -> Iterator[tuple[int, bool]]:
    """For each visit with a wish that it does not start at: its minutes, and whether something is in the way there."""
    starts = {each.id: each.parts[0].start for each in plan.visits}
    for visit in day.visits:
        if visit.wish is not None and starts.get(visit.id) != visit.wish:
            minutes = abs(starts[visit.id] - visit.wish) if visit.id in starts else visit.minutes
            yield minutes, not whynot(day, plan, visit, visit.wish).fits


@pytest.mark.parametrize("focus", FEATURES)
@settings(max_examples=6, deadline=None, derandomize=True)
@given(data=st.data())
def test_rows_add_up_to_the_whole_and_nothing_is_counted_without_a_name(focus: str, data: st.DataObject) -> None:
    day = data.draw(small_days(focus))
    plan = a_first_plan(day)
    if plan is None:
        return
    found = holding_back(day, plan)
    event(f"{min(3, len(found.rows))} rows or more")
    assert sum(row.minutes for row in found.rows) == found.total_min
    assert [row.minutes for row in found.rows] == sorted((row.minutes for row in found.rows), reverse=True)
    assert len({(row.rule, row.resource) for row in found.rows}) == len(found.rows)
    ids = {visit.id for visit in day.visits}
    assert not ids & {row.resource for row in found.rows}
    if all(visit.wish is not None for visit in day.visits):
        asked = list(asked_by_hand(day, plan))
        assert found.total_min == sum(minutes for minutes, named in asked if named)
        assert found.open_min == sum(minutes for minutes, named in asked if not named)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(day=small_days("combined"))
def test_channels_made_plentiful_are_gone_from_the_list(day: Day) -> None:
    plan = a_first_plan(day)
    if plan is None or any(visit.fixed is not None for visit in day.visits):
        return
    before = held_channels(holding_back(day, plan))
    event(f"channels in the way: {bool(before)}")
    units = tuple(
        replace(
            unit,
            channels=(
                *unit.channels,
                *(
                    Channel(id=f"more {channel.id} {i}", drives=channel.drives)
                    for channel in unit.channels
                    for i in range(8)
                ),
            ),
        )
        for unit in day.units
    )
    assert held_channels(holding_back(replace(day, units=units), plan)) == []


def held_channels(found: HoldingBack) -> list[Row]:
    """Rows of single channels; a row of a whole unit says that it has none of the kind."""
    return [row for row in found.rows if row.rule == "channels" and " " in row.resource]


def a_full_day() -> tuple[Day, Plan]:
    """One therapist, one channel, one bay; 09:00–09:40. Two visits wish for 09:00, and a third finds no room."""
    first = a_visit(a_part(hands_on(20)), id="V1", wish="09:00")
    second = a_visit(a_part(hands_on(20)), id="V2", wish="09:00")
    third = a_visit(a_part(hands_on(5), unattended(5)), id="V3", free="09:10-09:40")
    day = a_day(
        *(first, second, third),
        close="09:40",
        units=[a_unit(channels=[a_unit().channels[1]])],
        places=[a_place(bays=["F1"])],
        staff=[a_therapist()],
    )
    plan = a_plan(
        day, placed(first, "09:00", channels={"pads": ["s1"]}), placed(second, "09:20", channels={"pads": ["s1"]})
    )
    return day, plan


def test_a_day_with_a_known_answer() -> None:
    day, plan = a_full_day()
    found = holding_back(day, plan)
    # V2 is 20 minutes from its wish, V3 is left out with 10: channel, bay and hands are in the way of each.
    # 20 = 7 + 7 + 6 and 10 = 4 + 3 + 3, by rule.
    assert found.rows == (
        Row(rule="channels", resource="U1 s1", minutes=11, visits=2),
        Row(rule="bay", resource="F1", minutes=10, visits=2),
        Row(rule="hands", resource="T1", minutes=9, visits=2),
    )
    assert (found.left_out_min, found.moved_min, found.open_min) == (10, 20, 0)
    assert (found.idle_min, found.service_min) == (0, 40)


def test_hands_made_plentiful_are_gone_and_their_minutes_go_to_the_rest() -> None:
    day, plan = a_full_day()
    found = holding_back(replace(day, staff=(*day.staff, a_therapist("T2"))), plan)
    assert [(row.rule, row.minutes) for row in found.rows] == [("channels", 15), ("bay", 15)]


def test_a_start_that_could_be_had_counts_nowhere_but_as_open() -> None:
    visit = a_visit(a_part(hands_on(20)), wish="09:00")
    day = a_day(visit, a_visit(a_part(hands_on(15)), id="V2"))
    found = holding_back(day, a_plan(day, placed(visit, "10:00")))
    assert (found.rows, found.total_min, found.open_min) == ((), 0, 75)
    assert found.service_min - found.idle_min == 20


def test_a_visit_that_is_in_its_own_way_is_in_no_row_by_its_name() -> None:
    visit = a_visit(a_part(hands_on(20)), wish="09:00", free="10:00-11:00")
    day = a_day(visit, a_visit(a_part(hands_on(30)), id="V2", free="09:00-09:20"))
    found = holding_back(day, a_plan(day, placed(visit, "10:00")))
    assert found.rows == (Row(rule="patient", resource="", minutes=90, visits=2),)
    assert (found.left_out_min, found.moved_min) == (30, 60)


def test_days_add_up_row_by_row() -> None:
    once = holding_back(*a_full_day())
    twice = added_up([once, once])
    assert [(row.resource, row.minutes, row.visits) for row in twice.rows] == [
        (row.resource, 2 * row.minutes, 4) for row in once.rows
    ]
    assert (twice.total_min, twice.service_min) == (60, 80)
    assert added_up([]).rows == ()
