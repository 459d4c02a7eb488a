"""A unit's band: every mark is a fact of the plan, to the minute."""

import pytest

from app.views.moves import moves
from app.views.parts import Planned
from app.views.scale import Scale, Span
from app.views.units import Standing, Tail, Tie, UnitBand, Wait, unit_band
from solver.clock import Interval
from tests.app.clinic_days import planned
from tests.builders import (
    a_day,
    a_part,
    a_plan,
    a_unit,
    a_visit,
    an_applicator,
    hands_on,
    placed,
    placed_part,
    set_up,
    still,
    unattended,
)


def band(unit: str, now: int | None = None, quiet: frozenset[str] = frozenset()) -> UnitBand:
    clinic = planned()
    return unit_band(clinic, clinic.day.unit_by_id[unit], now, quiet, with_gaps=True)


def test_a_part_lies_on_every_channel_it_holds_at_its_minute() -> None:
    blocks = [(rail.channel, block.key, block.at, block.minutes) for rail in band("U1").rails for block in rail.blocks]
    assert blocks == [("u1", "V1.p1", 0, 20), ("s1", "V1.p1", 0, 20), ("s1", "V2.p1", 60, 20)]


def test_the_keyboard_stops_once_for_a_part_on_several_channels() -> None:
    assert [block.main for rail in band("U1").rails for block in rail.blocks if block.key == "V1.p1"] == [True, False]


def test_a_part_on_several_channels_is_framed_from_its_first_rail_to_its_last() -> None:
    assert band("U1").ties == (Tie(at=0, minutes=20, first=0, last=1, visit="V1", hue=0),)


def test_a_wait_between_parts_runs_from_rail_to_rail() -> None:
    assert band("U2").waits == (Wait("M40 50H50V150", "V3"),)


def test_phases_are_told_apart_by_who_is_needed_and_what_runs() -> None:
    part = a_part(set_up(4), hands_on(3), unattended(2), still(1))
    day = a_day(a_visit(part))
    clinic = Planned(day, a_plan(day, placed(day.visits[0], "09:00")))
    (block,) = unit_band(clinic, day.units[0], None, frozenset(), with_gaps=False).rails[1].blocks
    assert [(phase.kind, phase.minutes) for phase in block.phases] == [
        ("still", 4),
        ("hands-on", 3),
        ("unattended", 2),
        ("rest", 1),
    ]


@pytest.mark.parametrize(("now", "state"), [(599, "coming"), (600, "running"), (619, "running"), (620, "done")])
def test_a_part_runs_from_its_start_up_to_its_end(now: int, state: str) -> None:
    assert band("U1", now).rails[1].blocks[1].state == state


def test_nothing_runs_where_there_is_no_now() -> None:
    assert {block.state for rail in band("U1").rails for block in rail.blocks} == {"coming"}


def test_items_are_cleaned_after_the_part_that_lets_them_go() -> None:
    rails = band("U1").rails
    assert rails[0].tails == (Tail(20, 10, "V1", "head-1 cleaned 09:20–09:30"),)
    assert rails[1].tails == ()


def test_an_item_is_held_from_the_first_part_that_names_it_to_the_last() -> None:
    part = a_part(hands_on(10), applicators={"pool": 1})
    day = a_day(a_visit(part, a_part(hands_on(10)), part), applicators=(an_applicator("pool", 1, turnaround_min=7),))
    visit = day.visits[0]
    clinic = Planned(day, a_plan(day, placed(visit, "09:00", "09:10", "09:40")))
    (hold,) = clinic.item_holds
    assert (hold.held, hold.after) == (Interval(540, 590), Interval(590, 597))
    tails = unit_band(clinic, day.units[0], None, frozenset(), with_gaps=False).rails[1].tails
    assert [(tail.at, tail.minutes) for tail in tails] == [(50, 7)]


def test_a_bay_is_made_ready_after_a_stay() -> None:
    assert [(hold.id, hold.held, hold.after) for hold in planned().bay_holds] == [
        ("F1", Interval(540, 560), Interval(560, 565)),
        ("F2", Interval(570, 605), Interval(605, 610)),
        ("B1", Interval(600, 620), Interval(620, 625)),
    ]


def test_a_unit_moves_in_the_last_minutes_before_the_stay_elsewhere() -> None:
    assert [(move.unit, move.minutes, move.to_place) for move in moves(planned())] == [
        ("U1", Interval(595, 600), "back")
    ]
    assert band("U1").standings == (
        Standing(Span(0, 55, "09:00–09:55"), "Front", False),
        Standing(Span(55, 5, "09:55–10:00"), "moves to Back, by 10:00", True),
        Standing(Span(60, 120, "10:00–12:00"), "Back", False),
    )
    assert band("U2").standings == ()


def test_out_of_service_is_what_the_hours_leave_of_the_day() -> None:
    assert band("U2").out == (Span(120, 60, "11:00–12:00"),)
    assert band("U1").out == ()


def test_the_battery_is_drawn_from_the_verified_trace() -> None:
    battery = band("U1", 620).battery
    assert battery is not None
    # 60 Wh at 50 % are 1,800 watt-minutes. Standing by at 6 W, and for 10 minutes two channels of 10 W each: at 09:20
    # 1,800 − 20 × 6 − 10 × 20 = 1,480 of 3,600. Charging from then to the move adds 35 × 30 watt-minutes.
    assert (battery.lowest_pct, battery.lowest_at) == (41, "09:20")
    assert [(span.at, span.minutes) for span in battery.charging] == [(20, 35), (80, 100)]
    # Then 25 minutes at 6 W and 15 minutes at 10 W more: 1,480 + 1,050 − 150 − 150 = 2,230 of 3,600.
    assert battery.now_pct == 61
    assert band("U2").battery is None


def test_quiet_parts_keep_their_minutes() -> None:
    quiet = band("U1", quiet=frozenset({"V1.p1"})).rails[0].blocks[0]
    assert (quiet.quiet, quiet.at, quiet.minutes) == (True, 0, 20)


def test_a_part_elsewhere_waits_on_its_own_unit_only() -> None:
    day = a_day(a_visit(a_part(), a_part(), same_unit=False), units=(a_unit("U1"), a_unit("U2")))
    first, second = day.visits[0].parts
    plan = a_plan(day, placed(day.visits[0], "09:00", placed_part(second, "09:20", unit="U2")))
    clinic = Planned(day, plan)
    assert first.minutes == 10
    waits = [unit_band(clinic, unit, None, frozenset(), with_gaps=False).waits for unit in day.units]
    assert waits == [(Wait("M10 150H20", "V1"),), ()]


def test_the_axis_has_an_hour_and_a_half_hour() -> None:
    ticks = Scale(545, 660).ticks()
    assert [(tick.at, tick.label) for tick in ticks] == [(25, ""), (55, "10:00"), (85, ""), (115, "11:00")]


@pytest.mark.parametrize(
    ("zoom", "step", "named"), [(0, 30, 60), (240, 30, 60), (120, 15, 30), (60, 5, 15), (30, 5, 15)]
)
def test_the_axis_grows_finer_with_the_zoom(zoom: int, step: int, named: int) -> None:
    ticks = Scale(540, 660).ticks(zoom)
    assert [tick.at for tick in ticks] == list(range(0, 121, step))
    assert all(bool(tick.label) == (tick.at % named == 0) for tick in ticks)
