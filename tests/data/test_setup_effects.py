"""What a change of the set-up breaks is said first; then just those visits go, and all else stays where it is."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from sqlmodel import Session

from app.db.store import Store
from app.errors import StaleDayError
from app.models import Clinic
from app.queries.courses import therapist_codes
from app.queries.newest_names import newest_names
from app.queries.staff import staff_names
from app.services.days import new_day, save_day, save_day_within
from app.services.setup import changing
from app.services.setup.changing import BreaksVisitsError, effects_of, save_change
from app.services.setup.checking import ChangeCancelledError, Progress
from app.services.setup.clinic_changes import RemoveClosure, SaveClinic, SaveClosure, SaveOpening
from app.services.setup.filled import filled_set_up
from app.services.setup.forms import AwayForm, ClosureForm, OpeningForm, ThingForm
from app.services.setup.things import BringBack, Retire, SaveThing
from app.services.setup.times_away import SaveAway
from app.services.setup.work import Change
from solver.clinic import Break
from solver.clock import Interval
from solver.errors import InputError, PlanRefusedError
from solver.problem import Day
from solver.schedule import PlacedBreak, Plan
from solver.verify import verify
from tests.builders import (
    a_break_taken,
    a_part,
    a_plan,
    a_visit,
    an_assistant,
    fixed,
    fixed_part,
    hands_on,
    placed,
    unattended,
)
from tests.data.set_up_clinic import (
    A1,
    ANN,
    BEA,
    FRONT,
    HEADS,
    MONDAY,
    OPENING,
    T1,
    TODAY,
    TUESDAY,
    U1,
    U2,
    a_booked_day,
    book,
    changed,
    clock,
    filled,
    kept,
    placed_ids,
    save,
)


def _away(code: str, start: str, end: str) -> AwayForm:
    return AwayForm(from_date="2031-03-10", from_time=start, to_date="2031-03-10", to_time=end)


def _staff_away(code: str, start: str, end: str) -> Change:
    return SaveAway(kind="staff", code=code, form=_away(code, start, end), read=1)


def _unit_out(code: str, start: str, end: str) -> Change:
    return SaveAway(kind="unit", code=code, form=_away(code, start, end), read=1)


def _with(form: ThingForm, **fields: Any) -> Change:
    return SaveThing(form=replace(form, **fields), read=1)


CHANGES: Mapping[str, tuple[Change, Mapping[str, set[str]]]] = {
    "a therapist is away": (_staff_away("T1", "09:00", "10:00"), {"V1": {"hands"}}),
    "an assistant is away": (_staff_away("A1", "12:20", "12:30"), {"V3": {"hands"}}),
    "a unit is out": (_unit_out("U2", "10:20", "11:00"), {"V2": {"hours"}}),
    "a unit is out when nobody is on it": (_unit_out("U2", "11:00", "12:00"), {}),
    "a channel is gone": (
        _with(U2, channel_id=("s1", "s2"), channel_drives=("pads", "pads")),
        {"V2": {"channels"}},
    ),
    "a channel drives something else": (
        _with(U1, channel_drives=("ultrasound", "cups", "cups")),
        {"V1": {"channels"}, "V3": {"channels"}},
    ),
    "a battery is too small": (
        _with(U1, on_mains="", capacity_wh="1", reserve_pct="50", standby_w="0", draw_w="ultrasound 1, pads 2, cups 1",
              charge_w="30"),
        {"V1": {"battery"}, "V3": {"battery"}},
    ),
    "a bay is gone": (_with(FRONT, bays="F1, F3"), {"V2": {"unit"}}),
    "an item is gone": (_with(HEADS, items="heads-2"), {"V2": {"applicator"}}),
    "an applicator fits another unit only": (_with(HEADS, fits="U1"), {"V2": {"unit"}}),
    "nobody may watch": (_with(T1, watch_free="0", watch_busy="0"), {}),
    "the therapist is none any more": (_with(T1, kind="assistant"), {"V1": {"hands"}, "V2": {"hands"}}),
    "weekly hours are shorter": (
        _with(T1, hours=("09:30-17:00", *T1.hours[1:])),
        {"V1": {"hands"}},
    ),
    "the clinic opens later": (
        SaveOpening(form=OpeningForm(hours=("09:30-17:00", *OPENING.hours[1:])), read=1),
        {"V1": {"hours", "patient"}},
    ),
    "the clinic closes": (
        SaveClosure(form=ClosureForm(date="2031-03-10", reason="holiday"), read=1),
        {"V1": {"hours"}, "V2": {"hours"}, "V3": {"hours"}},
    ),
    "the clinic opens on other days": (
        SaveOpening(form=OpeningForm(hours=("", *OPENING.hours[1:])), read=1),
        {"V1": {"hours"}, "V2": {"hours"}, "V3": {"hours"}},
    ),
    "a unit is retired": (Retire(kind="unit", code="U2", read=1), {"V2": {"hours"}}),
    "a member is retired": (Retire(kind="staff", code="A1", read=1), {"V3": {"hands"}}),
    "a pool is retired": (Retire(kind="applicator", code="heads", read=1), {"V2": {"applicator"}}),
    "a name changes": (_with(U1, name="Blue one"), {}),
    "a unit is added": (SaveThing(form=replace(U1, code="U3"), read=None), {}),
    "a break is added": (_with(T1, breaks=("30 in 12:00-14:00, 15 in 15:00-16:00", *T1.breaks[1:])), {}),
}  # fmt: skip


@pytest.mark.parametrize("name", CHANGES)
def test_what_breaks_is_said_and_only_that_goes(clinic: Store, name: str) -> None:
    change, wanted = CHANGES[name]
    before, other = a_booked_day(clinic), a_booked_day(clinic, TUESDAY)
    effects = effects_of(clinic, change, clock=clock)
    assert kept(clinic) == before
    of_monday = [one for one in effects.broken if one.date == MONDAY]
    assert {one.visit: {reason.rule for reason in one.reasons} for one in of_monday} == wanted
    assert {one.visit: one.start for one in of_monday} == {
        id: {"V1": "09:00", "V2": "10:00", "V3": "12:00"}[id] for id in wanted
    }
    if effects.broken:
        with pytest.raises(BreaksVisitsError) as refused:
            save(clinic, change)
        assert refused.value.effects == effects
        assert kept(clinic) == before
    assert save(clinic, change, effects.digest).effects == effects
    after = kept(clinic)
    assert before.plan is not None
    assert after.plan is not None
    assert verify(after.day, after.plan) == []
    assert after.version == before.version + 1
    assert after.plan.visits == tuple(visit for visit in before.plan.visits if visit.id not in wanted)
    assert after.day.visits == before.day.visits
    left = {one.id: {reason.rule for reason in one.reasons} for one in after.plan.left_out}
    assert left == wanted
    assert TUESDAY in effects.days or kept(clinic, TUESDAY) == other


def test_past_days_and_other_days_keep_their_version(clinic: Store) -> None:
    past = date(2031, 2, 24)
    days = {on: a_booked_day(clinic, on) for on in (past, TODAY, MONDAY, TUESDAY)}
    change = changed(clinic, replace(T1, hours=("10:00-17:00", *T1.hours[1:])))
    effects = effects_of(clinic, change, clock=clock)
    assert effects.days == (TODAY, MONDAY)
    save(clinic, change, effects.digest)
    assert kept(clinic, past) == days[past]
    assert kept(clinic, TUESDAY) == days[TUESDAY]
    assert placed_ids(kept(clinic, TODAY)) == ["V2", "V3"]


def test_a_name_alone_leaves_the_plan_and_its_proof(clinic: Store) -> None:
    day = new_day(clinic, MONDAY)
    assert day is not None
    plan = replace(a_plan(day, breaks=(a_break_taken("T1", "12:00", 30),)), date=MONDAY, status="optimal")
    save_day(clinic, day, plan, read=0, actor="desk")
    save(clinic, changed(clinic, replace(U1, name="Blue one")))
    after = kept(clinic)
    assert (after.version, after.plan, after.day.unit_by_id["U1"].name) == (2, plan, "Blue one")


def test_what_breaks_meanwhile_is_shown_again(clinic: Store) -> None:
    before = a_booked_day(clinic)
    change = _staff_away("T1", "09:00", "10:00")
    shown = effects_of(clinic, change, clock=clock).digest
    day = replace(before.day, visits=(*before.day.visits, replace(ANN, id="V4", patient="Dee Last")))
    assert before.plan is not None
    visits = (*before.plan.visits, placed(day.visits[-1], "09:20"))
    plan = replace(a_plan(day, *visits, breaks=before.plan.breaks), date=MONDAY)
    save_day(clinic, day, plan, read=1, actor="desk")
    with pytest.raises(BreaksVisitsError) as refused:
        save(clinic, change, shown)
    assert [one.visit for one in refused.value.effects.broken] == ["V1", "V4"]
    assert filled(clinic, "T1").away == ()
    save(clinic, change, refused.value.effects.digest)
    with pytest.raises(StaleDayError):
        save_day(clinic, day, plan, read=2, actor="desk")


def test_what_is_fixed_and_gone_is_free_to_be_booked_anew(clinic: Store) -> None:
    at_nine = fixed(fixed_part("09:00", unit="U1", bay="F1", channels={"pads": ["s1"]}))
    ann = replace(ANN, fixed=at_nine)
    bea = replace(BEA, fixed=fixed(fixed_part("10:00")))
    book(clinic, MONDAY, (ann, placed(ann, "09:00")), (bea, placed(bea, "10:00", unit="U2", bay="F2")))
    change = changed(clinic, replace(U1, channel_id=("u1", "s2"), channel_drives=("ultrasound", "pads")))
    effects = effects_of(clinic, change, clock=clock)
    assert [(one.visit, one.reasons[0].rule) for one in effects.broken] == [("V1", "fixed")]
    save(clinic, change, effects.digest)
    after = kept(clinic)
    assert [visit.fixed for visit in after.day.visits] == [None, bea.fixed]
    assert placed_ids(after) == ["V2"]


def test_what_a_plan_never_placed_is_freed_too(clinic: Store) -> None:
    """A day without a plan, whose visit is fixed in a bay that goes."""
    ann = replace(ANN, fixed=fixed(fixed_part(bay="F2")))
    day = new_day(clinic, MONDAY)
    assert day is not None
    save_day(clinic, replace(day, visits=(ann,)), None, read=0, actor="desk")
    change = changed(clinic, replace(FRONT, bays="F1"))
    effects = effects_of(clinic, change, clock=clock)
    assert [(one.visit, one.start) for one in effects.broken] == [("V1", None)]
    save(clinic, change, effects.digest)
    assert kept(clinic).day.visits == (ANN,)


def test_a_closure_taken_back_opens_the_day_again_without_visits(clinic: Store) -> None:
    before = a_booked_day(clinic)
    change = SaveClosure(form=ClosureForm(date="2031-03-10", reason="holiday"), read=1)
    effects = effects_of(clinic, change, clock=clock)
    assert {reason.text for one in effects.broken for reason in one.reasons} == {
        "the clinic is closed on 2031-03-10 (holiday)"
    }
    save(clinic, change, effects.digest)
    closed = kept(clinic)
    assert [unit.hours for unit in closed.day.units] == [(), ()]
    assert [(member.hours, member.breaks) for member in closed.day.staff] == [((), ()), ((), ())]
    save(clinic, RemoveClosure(date="2031-03-10", read=2))
    again = kept(clinic)
    assert again.day == before.day
    assert again.plan is not None
    assert again.plan.breaks == (PlacedBreak(staff="T1", start=765, end=795),)
    assert len(again.plan.left_out) == 3


def test_a_retired_unit_comes_back_on_days_that_were_booked(clinic: Store) -> None:
    before = a_booked_day(clinic)
    change = Retire(kind="unit", code="U2", read=1)
    save(clinic, change, effects_of(clinic, change, clock=clock).digest)
    assert kept(clinic).day.unit_by_id["U2"].hours == ()
    save(clinic, BringBack(kind="unit", code="U2", read=2))
    assert kept(clinic).day == before.day


def test_a_pool_without_its_items_leaves_no_trace_in_new_days(clinic: Store) -> None:
    """A retired pool stays on a booked day without items; when it is back it is the pool that it was."""
    a_booked_day(clinic)
    change = Retire(kind="applicator", code="heads", read=1)
    save(clinic, change, effects_of(clinic, change, clock=clock).digest)
    assert kept(clinic).day.applicator_by_id["heads"].items == ()
    save(clinic, BringBack(kind="applicator", code="heads", read=2))
    tuesday = new_day(clinic, TUESDAY)
    assert tuesday is not None
    assert tuesday.applicators == kept(clinic).day.applicators
    assert tuesday.applicator_by_id["heads"].items == ("heads-1", "heads-2")


def test_what_a_day_has_of_its_own_it_keeps(clinic: Store) -> None:
    """A1 stays until 15:00 on this Monday only: weekly hours that begin later leave that, and what another day has."""
    day = new_day(clinic, MONDAY)
    assert day is not None
    own = replace(day, staff=(day.staff[0], an_assistant(hours="09:00-15:00", watch_free=2, watch_busy=1)), move_min=5)
    save_day(clinic, own, None, read=0, actor="desk")
    save(clinic, changed(clinic, replace(A1, hours=("10:00-13:00", *A1.hours[1:]))))
    after = kept(clinic).day
    assert after.staff_by_id["A1"].hours == (Interval(600, 900),)
    assert replace(after, staff=own.staff) == own


@pytest.mark.parametrize("change", [_staff_away("A1", "13:30", "14:00"), _unit_out("U1", "13:30", "14:00")])
def test_an_absence_is_cut_from_what_a_day_has_of_its_own_too(clinic: Store, change: SaveAway) -> None:
    day = new_day(clinic, MONDAY)
    assert day is not None
    span = (Interval(540, 900),)
    own = replace(
        day,
        units=(replace(day.units[0], hours=span), day.units[1]),
        staff=(day.staff[0], replace(day.staff[1], hours=span)),
    )
    save_day(clinic, own, None, read=0, actor="desk")
    save(clinic, change)
    after = kept(clinic).day
    cut = (Interval(540, 810), Interval(840, 900))
    assert (after.units[0].hours, after.staff[1].hours) == ((span, cut) if change.kind == "staff" else (cut, span))


def test_who_is_retired_has_no_hours_of_their_own_on_later_days(clinic: Store) -> None:
    """The Saturday is a day of its own: the clinic does not open on Saturdays by its weekly hours."""
    monday = new_day(clinic, MONDAY)
    assert monday is not None
    saturday = date(2031, 3, 15)
    save_day(clinic, replace(monday, date=saturday), None, read=0, actor="desk")
    save(clinic, Retire(kind="staff", code="A1", read=1))
    after = kept(clinic, saturday).day
    assert (after.staff_by_id["A1"].hours, after.staff_by_id["T1"].hours) == ((), monday.staff_by_id["T1"].hours)


def test_a_closure_ends_a_day_that_was_opened_against_weekly_hours(clinic: Store) -> None:
    monday = new_day(clinic, MONDAY)
    assert monday is not None
    saturday = date(2031, 3, 15)
    day = replace(monday, date=saturday, visits=(ANN,))
    plan = a_plan(day, placed(ANN, "09:00"), breaks=(a_break_taken("T1", "12:00", 30),))
    save_day(clinic, day, plan, read=0, actor="desk")
    change = SaveClosure(form=ClosureForm(date="2031-03-15"), read=1)
    effects = effects_of(clinic, change, clock=clock)
    assert [(one.visit, one.reasons[0].text) for one in effects.broken] == [
        ("V1", "the clinic is closed on 2031-03-15")
    ]
    save(clinic, change, effects.digest)
    assert placed_ids(kept(clinic, saturday)) == []


def test_breaks_move_into_the_gaps_before_any_visit_goes(clinic: Store) -> None:
    a_booked_day(clinic)
    breaks = ("30 in 09:00-11:00", *T1.breaks[1:])
    effects = save(clinic, changed(clinic, replace(T1, breaks=breaks))).effects
    assert (effects.days, effects.broken) == ((MONDAY,), ())
    after = kept(clinic)
    assert after.plan is not None
    (taken,) = after.plan.breaks
    assert (taken.start, taken.end) in [(start, start + 30) for start in (560, 565, 570)] or taken.start >= 610


def test_where_no_gap_is_left_the_break_costs_the_fewest_visits(clinic: Store) -> None:
    """From 09:00 to 10:00 T1 has V1 (20 min), then two visits of weight 1; a break of 30 within that hour meets two."""
    visits = [a_visit(a_part(hands_on(20)), id=f"V{n}", priority=p) for n, p in ((1, 5), (2, 1), (3, 1))]
    book(clinic, MONDAY, *((visit, placed(visit, f"09:{20 * i:02d}")) for i, visit in enumerate(visits)))
    change = changed(clinic, replace(T1, breaks=("30 in 09:00-10:00", *T1.breaks[1:])))
    effects = effects_of(clinic, change, clock=clock)
    assert [(one.visit, one.reasons[0].rule) for one in effects.broken] == [("V2", "hands"), ("V3", "hands")]
    save(clinic, change, effects.digest)
    after = kept(clinic)
    assert placed_ids(after) == ["V1"]
    assert after.plan is not None
    assert [(taken.start, taken.end) for taken in after.plan.breaks] == [(560, 590)]


def test_breaks_that_cannot_both_be_taken_are_refused_with_the_day(clinic: Store) -> None:
    before = a_booked_day(clinic)
    change = changed(clinic, replace(T1, breaks=("30 in 12:00-12:30, 15 in 12:00-12:30", *T1.breaks[1:])))
    with pytest.raises(
        InputError, match="breaks: on 2031-03-10 the break of 15 minutes of T1 within 12:00–12:30 finds"
    ):
        effects_of(clinic, change, clock=clock)
    with pytest.raises(InputError):
        save(clinic, change)
    assert kept(clinic) == before


def test_a_break_outside_opening_hours_is_not_due(clinic: Store) -> None:
    a_booked_day(clinic)
    now = filled_set_up(clinic)
    change = SaveOpening(form=replace(now.opening, hours=("09:00-12:00", *now.opening.hours[1:])), read=now.version)
    effects = effects_of(clinic, change, clock=clock)
    assert [one.visit for one in effects.broken] == ["V3"]
    save(clinic, change, effects.digest)
    assert kept(clinic).day.staff_by_id["T1"].breaks == ()
    tuesday = new_day(clinic, TUESDAY)
    assert tuesday is not None
    assert tuesday.staff_by_id["T1"].breaks == (Break(minutes=30, between=Interval(720, 840)),)


def test_of_visits_that_crowd_each_other_out_the_heavier_and_earlier_stay(clinic: Store) -> None:
    """Watch for one only: of three that run side by side unattended, one stays."""
    part = a_part(unattended(30), channels={"pads": 1})
    visits = [a_visit(part, id=f"V{n}", priority=p) for n, p in ((1, 1), (2, 3), (3, 1))]
    where = (("U1", "F1", "s1"), ("U1", "F2", "s2"))
    both = [
        (visit, placed(visit, "09:00", unit=unit, bay=bay, channels={"pads": [channel]}))
        for visit, (unit, bay, channel) in zip(visits, where, strict=False)
    ]
    late = (visits[2], placed(visits[2], "11:00"))
    book(clinic, MONDAY, *both, late)
    save(clinic, changed(clinic, replace(A1, watch_free="0", watch_busy="0")))
    change = changed(clinic, replace(T1, watch_free="1", watch_busy="1"))
    effects = effects_of(clinic, change, clock=clock)
    assert [(one.visit, one.reasons[0].rule) for one in effects.broken] == [("V1", "watch")]
    save(clinic, change, effects.digest)
    assert placed_ids(kept(clinic)) == ["V2", "V3"]


def test_other_aims_are_counted_anew(clinic: Store) -> None:
    a_booked_day(clinic)
    now = filled_set_up(clinic)
    form = replace(now.clinic, aims="finish, placed", step_min="10", move_min="3")
    save(clinic, SaveClinic(form=form, read=now.version))
    after = kept(clinic)
    assert after.plan is not None
    assert dict(after.plan.scores) == {"finish": 210, "placed": 0}
    assert (after.day.step_min, after.day.move_min) == (10, 3)


def test_what_fails_at_the_second_day_leaves_all_as_it_was(clinic: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    before = {on: a_booked_day(clinic, on) for on in (MONDAY, date(2031, 3, 17))}
    change = changed(clinic, replace(U2, channel_id=("s1",), channel_drives=("pads",)))
    effects = effects_of(clinic, change, clock=clock)
    assert effects.days == tuple(before)

    def failing(session: Session, of: Clinic, day: Day, plan: Plan | None, **more: Any) -> int:
        if day.date != MONDAY:
            raise PlanRefusedError(["made to fail"])
        return save_day_within(session, of, day, plan, **more)

    monkeypatch.setattr(changing, "save_day_within", failing)
    with pytest.raises(PlanRefusedError):
        save(clinic, change, effects.digest)
    assert {on: kept(clinic, on) for on in before} == before
    assert filled(clinic, "U2").version == 1


class _Ends(Progress):
    """Somebody who ends it after so many days of the stage."""

    def __init__(self, stage: str, after: int) -> None:
        super().__init__()
        self.when = (stage, after)

    def step(self) -> None:
        if (self.stage, self.done + 1) == self.when:
            self.cancelled = True
        super().step()


@pytest.mark.parametrize(("stage", "after"), [("checking", 1), ("checking", 2), ("saving", 1), ("saving", 2)])
def test_a_change_that_is_cancelled_changes_nothing(clinic: Store, stage: str, after: int) -> None:
    monday, tuesday = a_booked_day(clinic), a_booked_day(clinic, TUESDAY)
    before = filled_set_up(clinic)
    with pytest.raises(ChangeCancelledError):
        save_change(
            clinic,
            changed(clinic, replace(U1, name="Blue one")),
            actor="manager",
            clock=clock,
            progress=_Ends(stage, after),
        )
    assert filled_set_up(clinic) == before
    assert (kept(clinic), kept(clinic, TUESDAY)) == (monday, tuesday)


def test_who_waits_is_told_of_each_day(clinic: Store) -> None:
    a_booked_day(clinic)
    a_booked_day(clinic, TUESDAY)
    told: list[tuple[str, int, int]] = []

    class Told(Progress):
        def step(self) -> None:
            super().step()
            told.append((self.stage, self.done, self.days))

    change = changed(clinic, replace(U1, name="Blue one"))
    save_change(clinic, change, actor="manager", clock=clock, progress=Told())
    assert [one for one in told if one[0] == "saving"] == [("saving", 1, 2), ("saving", 2, 2)]
    assert [one for one in told if one[0] == "checking"][:2] == [("checking", 1, 2), ("checking", 2, 2)]


def test_a_thing_that_was_set_back_goes_by_what_it_says_now(clinic: Store) -> None:
    """The older version holds again: there is no newer row for it."""
    save(clinic, changed(clinic, replace(T1, name="Tess Other", kind="assistant")))
    save(clinic, changed(clinic, T1))
    with clinic.reading() as session:
        assert newest_names(session, 1)["staff"]["T1"] == "T1"
        assert staff_names(session, 1)["T1"] == "T1"
        assert "T1" in therapist_codes(session, 1)
