"""Random changes of the set-up over random booked days: every plan stays right, and no visit moves or goes in vain."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.db.store import Store
from app.queries.clinics import the_clinic
from app.queries.new_days import Frame, frame_on
from app.queries.set_up_reading import set_up_of
from app.services.databases import open_database
from app.services.days import KeptDay, new_day, save_day
from app.services.setup.changing import BreaksVisitsError, BrokenVisit, Effects, effects_of
from app.services.setup.clinic_changes import SaveClinic, SaveClosure, SaveOpening
from app.services.setup.dropping import after_the_change
from app.services.setup.forms import AwayForm, ClinicForm, ClosureForm, OpeningForm
from app.services.setup.things import Retire, SaveThing
from app.services.setup.times_away import SaveAway
from app.services.setup.work import Change, Work
from solver.clock import clock as shown
from solver.compose import explained, plan_of
from solver.construct import construct
from solver.errors import InputError
from solver.problem import Day
from solver.reading.day_reader import read_day_value
from solver.schedule import PlacedVisit, Plan
from solver.verify import verify
from solver.visits import Part, Visit
from tests.builders import a_part, a_visit, fixed, fixed_part, hands_on, tidy_up, unattended
from tests.data.conftest import CopyOf
from tests.data.set_up_clinic import A1, FRONT, HEADS, MONDAY, T1, TODAY, TUESDAY, U1, U2, WEEKDAYS, clock, kept, save

HOURS = st.integers(108, 150).map(lambda n: n * 5)


@st.composite
def parts(draw: st.DrawFn) -> Part:
    output = draw(st.sampled_from(["ultrasound", "pads", "cups"]))
    phases = draw(st.sampled_from([(hands_on(10), unattended(20)), (unattended(30),), (hands_on(15), tidy_up(5))]))
    heads = {"heads": 1} if output == "ultrasound" and draw(st.booleans()) else {}
    return a_part(
        *phases, channels={output: draw(st.integers(1, 1 if output == "ultrasound" else 2))}, applicators=heads
    )


@st.composite
def visits(draw: st.DrawFn) -> list[Visit]:
    def one(n: int) -> Visit:
        wish = draw(HOURS)
        of = draw(st.lists(parts(), min_size=1, max_size=2))
        return a_visit(*of, id=f"V{n}", wish=wish, priority=draw(st.integers(1, 3)))

    return [one(n) for n in range(draw(st.integers(1, 8)))]


@st.composite
def spans(draw: st.DrawFn) -> tuple[str, str]:
    start = draw(HOURS)
    return shown(start), shown(start + draw(st.integers(1, 60)) * 5)


@st.composite
def changes(draw: st.DrawFn) -> Change:
    start, end = draw(spans())
    away = AwayForm(from_date="2031-03-10", from_time=start, to_date="2031-03-10", to_time=end)
    every_day = (f"{start}-{end}",) * 5 + ("", "")
    minutes = str(draw(st.integers(0, 12)))
    kinds: list[Change] = [
        SaveAway(kind="staff", code=draw(st.sampled_from(["T1", "A1"])), form=away, read=1),
        SaveAway(kind="unit", code=draw(st.sampled_from(["U1", "U2"])), form=away, read=1),
        SaveOpening(form=OpeningForm(hours=(f"{start}-{end}", *WEEKDAYS[1:])), read=1),
        SaveClosure(form=ClosureForm(date="2031-03-11"), read=1),
        SaveThing(form=replace(T1, hours=every_day), read=1),
        SaveThing(form=replace(T1, breaks=(f"{draw(st.sampled_from([15, 30, 60]))} in {start}-17:00", *T1.breaks[1:])),
                  read=1),
        SaveThing(form=replace(A1, breaks=("15 in 10:00-11:00", *A1.breaks[1:])), read=1),
        SaveThing(form=replace(T1, watch_free="1", watch_busy=draw(st.sampled_from(["0", "1"]))), read=1),
        SaveThing(form=replace(U1, patients_at_once="1"), read=1),
        SaveThing(form=replace(U1, channel_id=("u1", "s1"), channel_drives=("ultrasound", "pads")), read=1),
        SaveThing(form=replace(U2, on_mains="", capacity_wh=draw(st.sampled_from(["1", "5", "20"])), reserve_pct="20",
                               standby_w="1", draw_w="ultrasound 9, pads 7, cups 8", charge_w="5"), read=1),
        SaveThing(form=replace(FRONT, bays="F1, F3"), read=1),
        SaveThing(form=replace(HEADS, items="heads-2", turnaround_min=minutes), read=1),
        SaveThing(form=replace(HEADS, fits="U1"), read=1),
        SaveClinic(form=ClinicForm(name="Test clinic", time_zone="Europe/Dublin", bay_turnover_min=minutes,
                                   step_min=draw(st.sampled_from(["1", "5", "10", "15"]))), read=1),
        Retire(kind="staff", code=draw(st.sampled_from(["T1", "A1"])), read=1),
        Retire(kind="unit", code=draw(st.sampled_from(["U1", "U2"])), read=1),
        Retire(kind="applicator", code="heads", read=1),
    ]  # fmt: skip
    return draw(st.sampled_from(kinds))


@contextmanager
def _booked(data: str, wanted: list[list[Visit]], fix: bool) -> Iterator[Store]:
    """The clinic with a Monday and a Tuesday planned for the visits; where ``fix``, the first placed is fixed there."""
    store = open_database(data)
    for on, of_day in zip((MONDAY, TUESDAY), wanted, strict=True):
        day = new_day(store, on)
        assert day is not None
        save_day(store, *_planned(replace(day, visits=tuple(of_day)), fix), read=0, actor="desk")
    try:
        yield store
    finally:
        store.close()


def _planned(day: Day, fix: bool) -> tuple[Day, Plan]:
    ledger = construct(day)
    assert ledger is not None
    plan = plan_of(day, ledger.visits, ledger.breaks)
    if fix and plan.visits:
        day = replace(day, visits=tuple(_fixed(visit, plan.visits[0]) for visit in day.visits))
    return day, explained(day, plan)


def _fixed(visit: Visit, placed: PlacedVisit) -> Visit:
    if visit.id != placed.id:
        return visit
    return replace(visit, fixed=fixed(fixed_part(placed.parts[0].start, bay=placed.parts[0].bay)))


@settings(max_examples=6, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
@given(wanted=st.lists(visits(), min_size=2, max_size=2), change=changes(), fix=st.booleans())
def test_random_changes_keep_every_plan_right_and_move_nobody(
    set_up_data: str, copy_of: CopyOf, wanted: list[list[Visit]], change: Change, fix: bool
) -> None:
    with _booked(copy_of(set_up_data), wanted, fix) as store:
        before = {on: kept(store, on) for on in (MONDAY, TUESDAY)}
        try:
            effects = effects_of(store, change, clock=clock)
        except InputError as refused:
            assert "finds no place" in str(refused)  # noqa: PT017 - any other refusal is a mistake
            assert {on: kept(store, on) for on in before} == before
            return
        if effects.broken:
            with pytest.raises(BreaksVisitsError):
                save(store, change)
            assert {on: kept(store, on) for on in before} == before
        assert save(store, change, effects.digest).effects == effects
        for on, known in before.items():
            _judge(known, kept(store, on), effects)


@settings(max_examples=120, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
@given(of_day=visits(), change=changes(), fix=st.booleans())
def test_random_changes_of_a_day_by_itself(shared: Store, of_day: list[Visit], change: Change, fix: bool) -> None:
    """The same, many times, without keeping the days."""
    before, after = _frames(shared, change)
    day = replace(read_day_value(before.document), visits=tuple(of_day))
    day, plan = _planned(day, fix)
    try:
        changed = after_the_change(day, plan, before, after)
    except InputError as refused:
        assert "finds no place" in str(refused)  # noqa: PT017 - any other refusal is a mistake
        return
    known = KeptDay(day, plan, 1)
    broken = tuple(
        BrokenVisit(date=day.date, visit=id, patient="", start=None, reasons=reasons)
        for id, reasons in changed.broken.items()
    )
    effects = Effects((day.date,) if changed.day != day else (), broken)
    _judge(known, KeptDay(changed.day, changed.plan, 1 + bool(effects.days)), effects)


@pytest.fixture(scope="module")
def shared(set_up_data: str, kept_copy_of: CopyOf) -> Iterator[Store]:
    """A store in which nothing is ever kept."""
    opened = open_database(kept_copy_of(set_up_data))
    yield opened
    opened.close()


def _frames(store: Store, change: Change) -> tuple[Frame, Frame]:
    """What the set-up says of the Monday before and after the change, which is taken back."""
    with store.writing() as session:
        clinic = the_clinic(session, to_write=True)
        before = set_up_of(session, clinic)
        change.make(Work(session, clinic, before, TODAY))
        after = set_up_of(session, clinic)
        session.rollback()
    return frame_on(before, MONDAY), frame_on(after, MONDAY)


def _judge(before: KeptDay, after: KeptDay, effects: Effects) -> None:
    if before.day.date not in effects.days:
        assert after == before
        return
    assert before.plan is not None
    assert after.plan is not None
    assert verify(after.day, after.plan) == []
    broken = {one.visit for one in effects.broken if one.date == before.day.date}
    assert after.plan.visits == tuple(visit for visit in before.plan.visits if visit.id not in broken)
    assert {left.id for left in after.plan.left_out} == broken | {left.id for left in before.plan.left_out}
    assert all(one.reasons for one in effects.broken)
    for gone in (visit for visit in before.plan.visits if visit.id in broken):
        back = replace(after.plan, visits=(*after.plan.visits, gone))
        back = replace(back, left_out=tuple(left for left in back.left_out if left.id != gone.id))
        rules = {breach.rule for breach in verify(after.day, back)}
        was_fixed = before.day.visit_by_id[gone.id].fixed is not None
        assert rules - {"scores", "status"} or was_fixed, f"{gone.id} went in vain"
