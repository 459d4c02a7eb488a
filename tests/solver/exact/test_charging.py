"""Slots allow every plan that keeps a battery's reserve, and refuse what is too much, without a lesson."""

from dataclasses import replace

import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st

from solver.clinic import Battery
from solver.clock import Interval
from solver.compose import plan_of
from solver.exact import pumping
from solver.exact.slots import Drain, Slots
from solver.masks.energy import Load, keeps_reserve
from solver.masks.ledger import Ledger
from solver.problem import Day
from solver.schedule import Plan
from solver.verify import verify
from tests.builders import (
    a_battery,
    a_channel,
    a_day,
    a_part,
    a_place,
    a_plan,
    a_therapist,
    a_unit,
    a_visit,
    hands_on,
    placed,
)
from tests.solver.exact.hinting import allowed


@st.composite
def batteries(draw: st.DrawFn) -> Battery:
    return a_battery(
        capacity_wh=draw(st.integers(1, 8)),
        start_pct=draw(st.integers(0, 100)),
        reserve_pct=draw(st.integers(1, 60)),
        standby_w=draw(st.integers(0, 3)),
        charge_w=draw(st.sampled_from([0, 3, 20, 60])),
        min_charge_min=draw(st.integers(0, 17)),
    )


@st.composite
def spans(draw: st.DrawFn, day: Day) -> list[Drain]:
    """Stays that begin on the grid and end where they like, some beside each other, some at another place."""
    starts = st.integers(-(-day.open // day.step_min), day.close // day.step_min - 1).map(lambda n: n * day.step_min)
    found: list[Drain] = []
    since, place = 0, "front"
    for start in sorted(draw(st.lists(starts, max_size=5))):
        end = draw(st.integers(start + 1, min(day.close, start + 40)))
        if start >= since + day.move_min:
            place = draw(st.sampled_from(["front", "back"]))
        since = max(since, end)
        found.append(Drain(Interval(start, end), draw(st.integers(0, 150)), place))
    return found


@settings(max_examples=1500, deadline=None, derandomize=True)
@given(
    st.data(),
    batteries(),
    st.sampled_from([1, 5, 15]),
    st.integers(540, 548),
    st.integers(655, 665),
    st.integers(0, 17),
)
def test_whoever_keeps_the_reserve_has_what_slots_ask_for(
    data: st.DataObject, battery: Battery, step: int, opening: int, closing: int, move_min: int
) -> None:
    day = replace(a_day(step_min=step), open=opening, close=closing, move_min=move_min)
    drains = data.draw(spans(day))
    loads = [Load(drain.stay, drain.place, drain.drawn_wmin, ()) for drain in drains]
    kept = battery.reserve_wmin > 0 and keeps_reserve(battery, day.open, day.move_min, loads)
    event(f"kept {kept}, moved {len({drain.place for drain in drains}) > 1}")
    if not kept:
        return
    slots = Slots(day, battery)
    course = slots.course(drains)
    places = slots.places(sorted((drain.stay, drain.place) for drain in drains), "front")
    for drain in drains:
        number, early = slots.of_end(drain.stay.end)
        assert 0 <= early < step
        assert course.levels[number] >= slots.asked_for(early)
    for number in range(slots.count):
        assert slots.lowest <= course.levels[number] <= battery.full_wmin
        if course.charging[number]:
            taken = Interval(slots.start(number), slots.start(number + 1))
            assert not any(drain.stay.meets(taken) for drain in drains)
        if number and places[number] != places[number - 1]:
            assert not any(course.charging[max(0, number - slots.on_the_way) : number + 1])
        if course.begins(number):
            assert all(course.charging[number : number + slots.shortest])
            assert number + slots.shortest <= slots.count


def test_minutes_before_a_clinic_opens_take_nothing() -> None:
    """Its first slot begins at nine, and two minutes of it are in service."""
    day = replace(a_day(step_min=5), open=543, close=660)
    slots = Slots(day, a_battery(capacity_wh=1, reserve_pct=95, standby_w=1))
    course = slots.course([Drain(Interval(545, 546), 0)])
    assert slots.of_end(546) == (1, 4)
    assert course.levels[1] == slots.asked_for(4) == 53


def three_in_an_hour(charge_w: int, min_charge_min: int = 15) -> Day:
    """Full is 600, the reserve 300 watt-minutes; each treatment draws 200 in 20 minutes."""
    visits = [a_visit(a_part(hands_on(20)), id=f"V{n}", free="09:00-10:00") for n in (1, 2, 3)]
    unit = a_unit(battery=a_battery(reserve_pct=50, charge_w=charge_w, min_charge_min=min_charge_min))
    return a_day(*visits, open="09:00", close="12:00", step_min=5, units=[unit])


def test_too_much_is_refused_without_a_lesson() -> None:
    day = three_in_an_hour(charge_w=5)
    one, two, _ = day.visits
    both = a_plan(day, placed(one, "09:00"), placed(two, "09:20"))
    assert {breach.rule for breach in verify(day, both)} == {"battery"}
    assert not allowed(day, both)
    assert allowed(day, a_plan(day, placed(one, "09:00")))


def test_what_is_charged_in_between_counts() -> None:
    """From 09:20 to 09:40 five watts charge 100 watt-minutes: 600 - 200 + 100 - 200 is the reserve exactly."""
    day = three_in_an_hour(charge_w=5)
    one, two, _ = day.visits
    kept, broken = (a_plan(day, placed(one, "09:00"), placed(two, at)) for at in ("09:40", "09:35"))
    assert (verify(day, kept), allowed(day, kept)) == ([], True)
    assert ({breach.rule for breach in verify(day, broken)}, allowed(day, broken)) == ({"battery"}, False)


def test_a_charge_that_is_too_short_does_not_count() -> None:
    day = three_in_an_hour(charge_w=60, min_charge_min=25)
    one, two, _ = day.visits
    broken = a_plan(day, placed(one, "09:00"), placed(two, "09:40"))
    assert {breach.rule for breach in verify(day, broken)} == {"battery"}
    assert not allowed(day, broken)


def test_an_empty_plan_is_allowed() -> None:
    day = three_in_an_hour(charge_w=0)
    assert allowed(day, plan_of(day, Ledger(day).visits, {}))


def two_with_cups(levels: tuple[int, int] = (20, 20)) -> Day:
    """Full is 600, the reserve 300 watt-minutes; each treatment draws 100 in 20 minutes, and its pump alone 80."""
    visits = [
        a_visit(a_part(hands_on(20), channels={"cups": 1}, suction_kpa=level), id=f"V{n}", free="09:00-10:00")
        for n, level in enumerate(levels, start=1)
    ]
    battery = a_battery(reserve_pct=50, draw_w={"cups": 5}, pump_w=4)
    channels = [a_channel("s1", "cups"), a_channel("s2", "cups")]
    units = [a_unit(battery=battery, channels=channels, patients_at_once=2)]
    staff = [a_therapist("T1"), a_therapist("T2")]
    return a_day(*visits, open="09:00", close="12:00", step_min=5, units=units, staff=staff)


def both_at(day: Day, *starts: str) -> Plan:
    """The two in different hands, bays and channels."""
    ways = zip(day.visits, starts, ("T1", "T2"), ("F1", "F2"), ("s1", "s2"), strict=True)
    return a_plan(
        day,
        *(placed(visit, start, hands=who, bay=bay, channels={"cups": [id]}) for visit, start, who, bay, id in ways),
    )


@pytest.mark.parametrize("start", ["09:00", "09:05", "09:15"])
def test_a_pump_that_two_share_is_drawn_as_if_they_shared_it_all_along(start: str) -> None:
    """Together they draw 280 of the 300; beside each other for a while only, more: lessons see that, slots do not."""
    day = two_with_cups()
    plan = both_at(day, "09:00", start)
    assert allowed(day, plan)
    assert (verify(day, plan) == []) is (start in ("09:00", "09:05"))


def test_a_pump_that_each_has_alone_is_drawn_twice_without_a_lesson() -> None:
    day = two_with_cups()
    plan = both_at(day, "09:00", "09:20")
    assert {breach.rule for breach in verify(day, plan)} == {"battery"}
    assert not allowed(day, plan)


def test_with_many_pairs_pumps_count_as_shared(monkeypatch: pytest.MonkeyPatch) -> None:
    """A relaxation again: what is refused above is then left to lessons."""
    monkeypatch.setattr(pumping, "MOST_PAIRS", 0)
    day = two_with_cups()
    assert allowed(day, both_at(day, "09:00", "09:20"))


def test_at_two_levels_no_pump_is_shared(monkeypatch: pytest.MonkeyPatch) -> None:
    """However many pairs there are."""
    monkeypatch.setattr(pumping, "MOST_PAIRS", 0)
    day = two_with_cups((20, 30))
    assert not allowed(day, both_at(day, "09:00", "09:20"))


@pytest.mark.parametrize(("start_pct", "right"), [(91, True), (90, False)])
def test_a_stay_that_ends_with_its_slot_must_leave_the_whole_reserve(start_pct: int, right: bool) -> None:
    """It draws 10 W for 20 minutes and 2 W stand by: 240 of 600, which is 40 %."""
    visit = a_visit(a_part(hands_on(20)), id="V1", free="09:00-09:20")
    battery = a_battery(reserve_pct=51, start_pct=start_pct, standby_w=2)
    day = a_day(visit, open="09:00", close="12:00", step_min=5, units=[a_unit(battery=battery)])
    plan = a_plan(day, placed(visit, "09:00"))
    assert (verify(day, plan) == [], allowed(day, plan)) == (right, right)


def two_here_and_there(move_min: int) -> Day:
    """Full is 600, the reserve 300 watt-minutes; each treatment draws 200 in 20 minutes, 10 W charge."""
    visits = [a_visit(a_part(hands_on(20)), id=f"V{n}", free="09:00-10:00") for n in (1, 2)]
    battery = a_battery(reserve_pct=50, charge_w=10, min_charge_min=5)
    return a_day(
        *visits,
        open="09:00",
        close="12:00",
        step_min=5,
        move_min=move_min,
        units=[a_unit(battery=battery, places=["front", "back"])],
        places=[a_place(), a_place("back", ["B1"])],
    )


@pytest.mark.parametrize(
    ("move_min", "start", "right"),
    [(0, "09:30", True), (5, "09:35", True), (5, "09:30", False), (10, "09:40", True), (10, "09:35", False)],
)
def test_a_unit_on_its_way_does_not_charge(move_min: int, start: str, right: bool) -> None:
    """The second visit is at another place; ten minutes of charging lie exactly between the two where it is right."""
    day = two_here_and_there(move_min)
    one, two = day.visits
    plan = a_plan(day, placed(one, "09:00"), placed(two, start, place="back", bay="B1"))
    assert (verify(day, plan) == [], allowed(day, plan)) == (right, right)


def test_a_unit_that_does_not_move_charges_all_the_while() -> None:
    day = two_here_and_there(move_min=10)
    one, two = day.visits
    plan = a_plan(day, placed(one, "09:00"), placed(two, "09:30"))
    assert (verify(day, plan), allowed(day, plan)) == ([], True)


def test_what_a_move_takes_of_a_slot_is_left_to_lessons() -> None:
    """Three of its minutes: a slot counts as charging all the same, so that no right plan is refused."""
    day = two_here_and_there(move_min=3)
    one, two = day.visits
    plan = a_plan(day, placed(one, "09:00"), placed(two, "09:30", place="back", bay="B1"))
    assert {breach.rule for breach in verify(day, plan)} == {"battery"}
    assert allowed(day, plan)
