"""Demand against what is free, by hand and minute by minute on a small clinic; and which hours would take the rest.

The clinic of ``set_up_clinic`` from Tuesday 4 March 2031 on: two units, each with one channel for ultrasound and two
for pads or cups; T1 all day but for half an hour, A1 until 13:00.
"""

from dataclasses import replace
from datetime import date, timedelta

from app.db.store import Store
from app.services.courses import prescribe
from app.services.days import kept_day, new_day, save_day
from app.services.forgetting import forget_patient
from app.services.patients import make_patient
from app.services.setup.clinic_changes import SaveClosure
from app.services.setup.filled import filled_set_up
from app.services.setup.forms import AwayForm, ClosureForm
from app.services.setup.times_away import SaveAway
from app.services.treatments.writing import make_treatment
from app.services.use.capacity import Capacity, Resource, capacity
from app.services.use.demand import ANYBODY, THERAPIST, asked_for
from app.services.use.hours_to_open import OPEN, HourToOpen, hours_to_open
from app.services.visits.waiting import WaitingForm, put_on, take_off
from solver.clock import Interval
from tests.data.front_desk import Desk, Form, limits, part, treatment_form
from tests.data.set_up_clinic import ANN, MONDAY, TODAY, a_booked_day, save, version

FIRST = TODAY + timedelta(days=1)
WAITS = {"min": "10", "hands": "therapist", "running": False}


def _treatment(desk: Desk, name: str, *parts: Form) -> int:
    return make_treatment(desk.store, treatment_form(*parts, name=name), actor="test")


def _wait(desk: Desk, treatment: int, times: int = 1, weekdays: tuple[str, ...] = (), hours: str = "") -> None:
    """So many patients wait for the treatment."""
    for n in range(times):
        patient = make_patient(desk.store, f"Patient {n}", actor="test").id
        given = WaitingForm(patient=str(patient), treatment=str(treatment), weekdays=weekdays, hours=hours)
        put_on(desk.store, given, actor="test")


def _close(desk: Desk, *dates: date) -> None:
    for day in dates:
        read = filled_set_up(desk.store).version
        save(desk.store, SaveClosure(form=ClosureForm(date=day.isoformat(), reason=""), read=read))


def _of(found: Capacity, name: str) -> Resource:
    return next(one for one in found.resources if one.name == name)


def _demand(found: Capacity, name: str) -> list[int]:
    return [week.demand_min for week in _of(found, name).weeks]


def _free(found: Capacity, name: str) -> list[int]:
    return [week.free_min for week in _of(found, name).weeks]


def test_a_week_without_bookings_is_hours_by_channels_and_by_staff(desk: Desk) -> None:
    found = capacity(desk.store, TODAY, 2)
    assert (found.first, found.last) == (FIRST, FIRST + timedelta(days=13))
    day = 8 * 60
    for name, minutes in (
        ("ultrasound", 2 * day * 5),
        ("pads", 4 * day * 5),
        ("cups", 4 * day * 5),
        (THERAPIST, (day - 30) * 5),
        (ANYBODY, (day - 30 + 240) * 5),
    ):
        assert _free(found, name) == [minutes] * 2, name
        assert [week.there_min for week in _of(found, name).weeks] == [minutes] * 2
        assert _demand(found, name) == [0, 0]
        assert _of(found, name).full is None
    assert hours_to_open(found) == ()


def test_bookings_closures_and_out_of_service_are_taken_off_minute_by_minute(desk: Desk) -> None:
    a_booked_day(desk.store)
    desk.booked(limits(first=FIRST))
    desk.booked(limits(first=MONDAY + timedelta(days=1)), desk.bea)
    _close(desk, date(2031, 3, 6))
    away = AwayForm(from_date="2031-03-05", from_time="11:00", to_date="2031-03-07", to_time="10:30")
    save(desk.store, SaveAway(kind="unit", code="U1", form=away, read=version(desk.store, "U1"), id=None))
    absent = AwayForm(from_date="2031-03-11", from_time="09:30", to_date="2031-03-11", to_time="11:00")
    save(desk.store, SaveAway(kind="staff", code="A1", form=absent, read=version(desk.store, "A1"), id=None))
    found = capacity(desk.store, TODAY, 2)
    for number in range(2):
        dates = [FIRST + timedelta(days=7 * number + n) for n in range(7)]
        for name in ("ultrasound", "pads", "cups"):
            assert _free(found, name)[number] == sum(_free_channel_minutes(desk.store, day, name) for day in dates)
        for name, kinds in ((THERAPIST, {"therapist"}), (ANYBODY, {"therapist", "assistant"})):
            assert _free(found, name)[number] == sum(_free_hands_minutes(desk.store, day, kinds) for day in dates)


def _free_channel_minutes(store: Store, on: date, output: str) -> int:
    """Minute by minute, from the day as the solver reads it."""
    known = kept_day(store, on)
    day = known.day if known is not None else new_day(store, on)
    if day is None:
        return 0
    total = 0
    for unit in day.units:
        for channel in unit.channels:
            for minute in range(day.open, day.close):
                serves = output in channel.drives and any(start <= minute < end for start, end in day.unit_hours(unit))
                held = (
                    known is not None
                    and known.plan is not None
                    and any(
                        where.unit == unit.id
                        and any(channel.id in names for names in where.channels.values())
                        and where.start <= minute < where.start + asked.minutes
                        for visit in known.plan.visits
                        for asked, where in zip(day.visit_by_id[visit.id].parts, visit.parts, strict=True)
                    )
                )
                total += serves and not held
    return total


def _free_hands_minutes(store: Store, on: date, kinds: set[str]) -> int:
    known = kept_day(store, on)
    day = known.day if known is not None else new_day(store, on)
    if day is None:
        return 0
    busy: set[tuple[str, int]] = set()
    if known is not None and known.plan is not None:
        for visit in known.plan.visits:
            for asked, where in zip(day.visit_by_id[visit.id].parts, visit.parts, strict=True):
                for (_, span), who in zip(asked.phases_at(where.start), where.hands, strict=True):
                    busy |= {(who, minute) for minute in range(*span) if who is not None}
        busy |= {(one.staff, minute) for one in known.plan.breaks for minute in range(one.start, one.end)}
    else:
        busy |= {
            (member.id, due.between.start + n)
            for member in day.staff
            for due in member.breaks
            for n in range(due.minutes)
        }
    return sum(
        (member.id, minute) not in busy
        for member in day.staff
        if member.kind in kinds
        for hours in member.hours
        for minute in range(max(hours.start, day.open), min(hours.end, day.close))
    )


def test_sessions_of_a_course_are_spread_by_its_least_days_on_its_weekdays(desk: Desk) -> None:
    form: Form = {"sessions": "6", "least_days": "2", "most_days": "3", "prescribed_by": "Tess"}
    prescribe(desk.store, desk.ann, 1, form, prescribed_on=TODAY, actor="test")
    # Tuesday 4, Thursday 6, Monday 10 since the 8th is a Saturday; Wednesday 12, Friday 14, Monday 17
    assert _demand(capacity(desk.store, TODAY, 2), "pads") == [60, 60]
    mondays: Form = {**form, "sessions": "3", "least_days": "1", "most_days": "7", "weekdays": ["0"]}
    prescribe(desk.store, desk.bea, 1, mondays, prescribed_on=TODAY, actor="test")
    found = capacity(desk.store, TODAY, 2)
    assert _demand(found, "pads") == [80, 80]
    assert _demand(found, THERAPIST) == _demand(found, ANYBODY) == [80, 80]
    (row,) = found.treatments
    assert (row.name, row.sessions["course"], row.later) == ("Knee pads", 8, 1)


def test_a_booked_session_is_left_no_more_and_the_next_comes_after_it(desk: Desk) -> None:
    form: Form = {"sessions": "3", "least_days": "4", "most_days": "9", "prescribed_by": "Tess"}
    course = prescribe(desk.store, desk.ann, 1, form, prescribed_on=TODAY, actor="test")
    assert _demand(capacity(desk.store, TODAY, 3), "pads") == [40, 20, 0]  # 4, 10 since the 8th is no weekday, 14
    desk.booked(limits(first=FIRST), course=course)
    assert _demand(capacity(desk.store, TODAY, 3), "pads") == [20, 20, 0]
    desk.booked(limits(days=1, first=date(2031, 3, 13)), course=course)
    assert _demand(capacity(desk.store, TODAY, 3), "pads") == [0, 20, 0]  # the 17th


def test_who_waits_is_asked_for_once_on_the_first_weekday_that_suits(desk: Desk) -> None:
    both = _treatment(desk, "Both", part(15, channels={"ultrasound": "1", "pads": "2"}), part(30, id="p2"))
    _wait(desk, both)
    _wait(desk, 1, weekdays=("0",))
    found = capacity(desk.store, TODAY, 1)
    assert [_demand(found, name) for name in ("ultrasound", "pads", "cups")] == [[15], [15 * 2 + 30 + 20], [0]]
    assert _of(found, "pads").weeks[0].asked_min == {"course": 0, "waiting": 80, "unplaced": 0}
    assert _demand(capacity(desk.store, date(2031, 3, 9), 1), "pads") == [80]
    assert _demand(capacity(desk.store, date(2031, 3, 10), 1), "pads") == [80]


def test_the_first_week_with_more_asked_for_than_free_is_full_and_the_rest_waits(desk: Desk) -> None:
    long = _treatment(desk, "Long", part(200, channels={"ultrasound": "1"}))
    days = [date(2031, 3, 5) + timedelta(days=n) for n in (0, 1, 2)]
    _close(desk, *days)  # Tuesday 4 and Monday 10 are left: 2 × 2 × 480 minutes
    _wait(desk, long, 10)
    found = capacity(desk.store, TODAY, 2)
    ultrasound = _of(found, "ultrasound")
    assert [(week.free_min, week.demand_min, week.over_min, week.left_min) for week in ultrasound.weeks] == [
        (1920, 2000, 80, 80),
        (4800, 0, 0, 0),
    ]
    assert ultrasound.full == FIRST
    assert _of(found, "pads").full is None
    assert _of(found, THERAPIST).full == FIRST  # 2 × 450 minutes for 2000


def _hour(found: Capacity, weekday: int, start: int, what: str) -> HourToOpen | None:
    block = Interval(start * 60, start * 60 + 60)
    return next(
        (one for one in hours_to_open(found) if (one.weekday, one.block, one.what) == (weekday, block, what)), None
    )


def test_an_hour_outside_takes_what_has_no_room_and_may_come_then(desk: Desk) -> None:
    long = _treatment(desk, "Long", part(200, channels={"ultrasound": "1"}))
    _close(desk, *(date(2031, 3, 5) + timedelta(days=n) for n in (0, 1, 2)))
    _wait(desk, long, 9)
    _wait(desk, long, 1, hours="17:00-19:00", weekdays=("1", "5"))
    found = capacity(desk.store, TODAY, 1)
    tuesday = _hour(found, 1, 18, OPEN)
    assert tuesday == HourToOpen(1, Interval(1080, 1140), OPEN, 2 * 60, 80, 10 * 200, 80)
    assert _hour(found, 5, 10, OPEN) == HourToOpen(5, Interval(600, 660), OPEN, 120, 80, 9 * 200, 80)
    assert _hour(found, 2, 18, OPEN) is None  # every Wednesday of the week is closed
    assert _hour(found, 1, 10, OPEN) is None  # it is open then
    assert _hour(found, 1, 19, OPEN) is None  # further away than is looked at
    away = AwayForm(from_date="2031-03-04", from_time="17:30", to_date="2031-03-05", to_time="09:00")
    save(desk.store, SaveAway(kind="unit", code="U1", form=away, read=version(desk.store, "U1"), id=None))
    there = _hour(capacity(desk.store, TODAY, 1), 1, 18, OPEN)
    assert there is not None
    assert there.adds_min == 60


def test_only_who_may_come_then_is_taken(desk: Desk) -> None:
    long = _treatment(desk, "Long", part(200, channels={"ultrasound": "1"}))
    _close(desk, *(date(2031, 3, 5) + timedelta(days=n) for n in (0, 1, 2)))
    _wait(desk, long, 10, weekdays=("0", "1"), hours="09:00-18:00")
    found = capacity(desk.store, TODAY, 1)
    assert {(one.weekday, one.block.start // 60) for one in hours_to_open(found) if one.what == OPEN} == {
        (0, 17),
        (1, 17),
    }


def test_an_hour_within_takes_what_one_more_pair_of_hands_could_run(desk: Desk) -> None:
    """Ten minutes of a therapist for thirty of a channel: T1's 900 free minutes serve 2700 channel minutes."""
    shared = _treatment(
        desk,
        "Shared",
        part(channels={"pads": "1"}, phases=[WAITS, {"min": "20", "hands": "nobody", "running": True}]),
    )
    _close(desk, *(date(2031, 3, 5) + timedelta(days=n) for n in (0, 1, 2)))
    _wait(desk, shared, 95)
    found = capacity(desk.store, TODAY, 1)
    therapist = _of(found, THERAPIST).weeks[0]
    assert (therapist.free_min, therapist.demand_min, therapist.over_min) == (900, 950, 50)
    assert _of(found, "pads").full is None
    # at ten 6 channels are free, 360 minutes; T1's 60 serve 180 of them; one more serves the other 180
    assert _hour(found, 1, 10, THERAPIST) == HourToOpen(1, Interval(600, 660), THERAPIST, 180, 150, 95 * 30, 150)
    # T1's break is at the begin of its time, 12:00 to 12:30; one more serves no more than an hour's 180
    noon = _hour(found, 1, 12, THERAPIST)
    assert noon is not None
    assert noon.adds_min == 180
    assert _hour(found, 1, 10, ANYBODY) is None  # of anybody's hands there are enough
    assert _hour(found, 1, 17, THERAPIST) is None  # it is closed then


def test_a_visit_without_a_place_is_asked_for_on_its_day(desk: Desk) -> None:
    day = new_day(desk.store, MONDAY)
    assert day is not None
    save_day(desk.store, replace(day, visits=(ANN,)), None, read=0, actor="desk")
    week = _of(capacity(desk.store, TODAY, 1), "pads").weeks[0]
    assert (week.asked_min["unplaced"], week.free_min) == (20, 4 * 480 * 5)


def test_a_patient_who_is_forgotten_or_off_the_list_asks_for_nothing(desk: Desk) -> None:
    cora = make_patient(desk.store, "Cora", actor="test").id
    form: Form = {"sessions": "6", "least_days": "2", "most_days": "3", "prescribed_by": "Tess"}
    prescribe(desk.store, cora, 1, form, prescribed_on=TODAY, actor="test")
    assert _demand(capacity(desk.store, TODAY, 1), "pads") == [60]
    forget_patient(desk.store, str(cora))
    assert _demand(capacity(desk.store, TODAY, 1), "pads") == [0]
    _wait(desk, 1)
    assert _demand(capacity(desk.store, TODAY, 1), "pads") == [20]
    take_off(desk.store, 1, read=1, actor="test")
    assert _demand(capacity(desk.store, TODAY, 1), "pads") == [0]


def test_nobody_is_wanted_on_a_closed_day() -> None:
    """Wednesday and Thursday are closed: whoever waits is wanted on Friday, and on Wednesday only a week later."""
    wednesday = date(2031, 3, 5)
    closures = {wednesday, wednesday + timedelta(days=1)}
    waiting = [(1, None, None), (1, [2], None)]
    found = asked_for(wednesday, wednesday + timedelta(days=13), range(5), closures, [], waiting, {})
    assert [one.date for one in found] == [date(2031, 3, 7), date(2031, 3, 12)]
