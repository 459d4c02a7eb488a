"""Forms of the set-up: one fault for each mistake, all in one pass, nothing half written; stale and retired things."""

from dataclasses import replace
from typing import Any

import pytest
from sqlmodel import col, select

from app.db.store import Store
from app.errors import StaleSetUpError
from app.models import Audit
from app.services.days import new_day
from app.services.setup.clinic_changes import RemoveClosure, SaveClinic, SaveClosure, SaveOpening
from app.services.setup.filled import filled_set_up
from app.services.setup.forms import ApplicatorForm, AwayForm, ClinicForm, ClosureForm, OpeningForm, PlaceForm, UnitForm
from app.services.setup.things import BringBack, Retire, SaveThing
from app.services.setup.times_away import RemoveAway, SaveAway
from app.services.setup.work import Change
from solver.clock import Interval
from solver.errors import InputError
from tests.data.set_up_clinic import (
    A1,
    FRONT,
    HEADS,
    MONDAY,
    T1,
    TUESDAY,
    U1,
    U2,
    changed,
    filled,
    save,
    version,
)

BAD_UNIT = UnitForm(
    code="U3",
    patients_at_once="none",
    places="front, attic",
    channel_id=("a", "", "a", ""),
    channel_drives=("pads", "", "cups", "ultrasound"),
    on_mains="",
    capacity_wh="ten",
    reserve_pct="120",
    standby_w="",
    draw_w="pads 5, cups",
    charge_w="-3",
)


@pytest.mark.parametrize(
    ("change", "fields"),
    [
        (SaveThing(form=PlaceForm(code=" "), read=None), ["code", "bays"]),
        (SaveThing(form=PlaceForm(code="back", bays="F1, B1, B1"), read=None), ["bays", "bays"]),
        (SaveThing(form=PlaceForm(code="front", bays="B1"), read=None), ["code"]),
        (
            SaveThing(form=BAD_UNIT, read=None),
            [
                "patients_at_once", "capacity_wh", "standby_w", "draw_w", "draw_w", "charge_w", "reserve_pct",
                "channel_id[2]", "places", "channel_id[3]",
            ],
        ),
        (SaveThing(form=replace(U1, code="U3", channel_id=(), channel_drives=()), read=None), ["channel_id[0]"]),
        (SaveThing(form=ApplicatorForm(code="h", items="heads-1", fits="U7", turnaround_min="x"), read=None),
         ["turnaround_min", "items", "fits"]),
        (SaveThing(form=replace(T1, code="T2", kind="boss", watch_free="1", watch_busy="3"), read=None),
         ["kind", "watch_busy"]),
        (
            SaveThing(
                form=replace(
                    T1,
                    code="T2",
                    hours=("9-12", "09:00-12:00, 11:00-13:00", "10:00-09:00", "", "", "", ""),
                    breaks=("x", "30 in 12:00-12:20", "", "", "", "", ""),
                ),
                read=None,
            ),
            ["hours[0]", "hours[0]", "breaks[0]", "hours[1]", "hours[2]"],
        ),
        (SaveThing(form=replace(T1, code="T2", breaks=("30 in 12:00-12:20", "", "", "", "", "", "")), read=None),
         ["breaks[0]"]),
        (SaveOpening(form=OpeningForm(hours=("9", "", "", "17:00-09:00", "", "", "")), read=1),
         ["hours[0]", "hours[3]"]),
        (SaveOpening(form=OpeningForm(hours=("",)), read=1), ["hours"]),
        (SaveClosure(form=ClosureForm(date="11.3.2031"), read=1), ["date"]),
        (RemoveClosure(date="2031-03-11", read=1), ["date"]),
        (
            SaveClinic(form=ClinicForm(name="", time_zone="No/Where", step_min="7", move_min="x", aims="wish, luck"),
                       read=1),
            ["name", "move_min", "step_min", "aims", "time_zone"],
        ),
        (SaveAway(kind="staff", code="T1", form=AwayForm(from_date="x", to_date="2031-03-11", to_time="25:00"), read=1),
         ["from_date", "to_time"]),
        (SaveAway(kind="unit", code="U1", form=AwayForm(from_date="2031-03-11", to_date="2031-03-10"), read=1),
         ["to_time"]),
        (RemoveAway(kind="unit", code="U1", id=9, read=1), ["id"]),
        (Retire(kind="unit", code="U9", read=1), ["code"]),
        (Retire(kind="place", code="front", read=1), ["code", "code"]),
    ],
)  # fmt: skip
def test_every_mistake_is_one_fault_at_its_field_and_nothing_is_written(
    clinic: Store, change: Change, fields: list[str]
) -> None:
    before = filled_set_up(clinic)
    with pytest.raises(InputError) as refused:
        save(clinic, change)
    assert sorted(fault.where for fault in refused.value.faults) == sorted(fields), str(refused.value)
    assert all(fault.what and fault.right for fault in refused.value.faults)
    assert filled_set_up(clinic) == before


def test_a_fault_names_the_other_thing_by_its_code(clinic: Store) -> None:
    with pytest.raises(InputError, match="'F1' is already used at front"):
        save(clinic, SaveThing(form=PlaceForm(code="back", bays="F1"), read=None))


def test_who_comes_too_late_is_told_what_was_changed(clinic: Store) -> None:
    assert save(clinic, SaveThing(form=replace(U1, name="Blue one"), read=1)).version == 2
    with pytest.raises(StaleSetUpError) as stale:
        save(clinic, SaveThing(form=replace(U1, name="Red one"), read=1))
    assert stale.value.changes == ("manager changed unit U1: name",)
    assert (stale.value.version, filled(clinic, "U1").form.name) == (2, "Blue one")
    save(clinic, SaveClosure(form=ClosureForm(date="2031-03-11"), read=1))
    with pytest.raises(StaleSetUpError, match="clinic was read as version 1 and is version 2"):
        save(clinic, SaveOpening(form=OpeningForm(), read=1))


def test_a_change_and_back_again_is_the_first_version_again(clinic: Store) -> None:
    for name in ("Blue one", "U1"):
        save(clinic, changed(clinic, replace(U1, name=name)))
    day = new_day(clinic, MONDAY)
    assert day is not None
    assert day.unit_by_id["U1"].name == "U1"
    assert version(clinic, "U1") == 3


def test_a_form_that_says_nothing_new_changes_nothing(clinic: Store) -> None:
    for form in (FRONT, U1, HEADS, T1, A1):
        assert save(clinic, changed(clinic, form)).version == 1
    now = filled_set_up(clinic)
    assert save(clinic, SaveClinic(form=now.clinic, read=1)).version == 1
    assert save(clinic, SaveOpening(form=now.opening, read=1)).version == 1
    with clinic.reading() as session:
        assert len(session.exec(select(Audit).where(col(Audit.actor) == "manager")).all()) == 7


def test_the_audit_says_what_was_changed(clinic: Store) -> None:
    save(clinic, changed(clinic, replace(T1, name="Tessa (invented)", watch_busy="1")))
    ill = AwayForm(from_date="2031-03-10", to_date="2031-03-11", note="ill")
    save(clinic, SaveAway(kind="staff", code="T1", form=ill, read=2))
    with clinic.reading() as session:
        *_, named, away = session.exec(select(Audit).order_by(col(Audit.id))).all()
    assert (named.record, named.action) == ("staff T1", "changed")
    assert named.before == {"name": "T1", "watch_busy": "2"}
    assert named.after == {"name": "Tessa (invented)", "watch_busy": "1"}
    assert list(away.after.values()) == ["2031-03-10 00:00 to 2031-03-12 00:00"]


def test_a_retired_thing_is_last_and_comes_back(clinic: Store) -> None:
    save(clinic, Retire(kind="unit", code="U1", read=1))
    assert [(one.form.code, one.is_retired) for one in filled_set_up(clinic).units] == [("U2", False), ("U1", True)]
    day = new_day(clinic, MONDAY)
    assert day is not None
    assert [unit.id for unit in day.units] == ["U2"]
    save(clinic, BringBack(kind="unit", code="U1", read=2))
    day = new_day(clinic, MONDAY)
    assert day is not None
    assert [unit.id for unit in day.units] == ["U1", "U2"]


def test_what_is_named_elsewhere_is_not_retired_and_what_clashes_does_not_come_back(clinic: Store) -> None:
    save(clinic, changed(clinic, replace(HEADS, fits="U2")))
    with pytest.raises(InputError, match="applicator heads is said to fit U2"):
        save(clinic, Retire(kind="unit", code="U2", read=1))
    save(clinic, Retire(kind="applicator", code="heads", read=2))
    save(clinic, SaveThing(form=ApplicatorForm(code="new heads", items="heads-1"), read=None))
    with pytest.raises(InputError, match="'heads-1' is already used at new heads"):
        save(clinic, BringBack(kind="applicator", code="heads", read=3))


@pytest.mark.parametrize(("kind", "code"), [("staff", "T1"), ("unit", "U1")])
def test_times_away_are_local_and_can_be_changed_and_removed(clinic: Store, kind: Any, code: str) -> None:
    """The clinic's clocks go forward on the last Sunday of March: Monday's 10:00 is 09:00 UTC (IANA zone database)."""
    form = AwayForm(from_date="2031-03-28", from_time="16:00", to_date="2031-03-31", to_time="10:00")
    save(clinic, SaveAway(kind=kind, code=code, form=form, read=1))

    def hours(on: int) -> object:
        day = new_day(clinic, MONDAY.replace(day=on))
        assert day is not None
        return day.staff_by_id[code].hours if kind == "staff" else day.unit_by_id[code].hours

    assert hours(28) == (Interval(540, 960),)
    assert hours(31) == (Interval(600, 1020),)
    (away,) = filled(clinic, code).away
    assert away.form == form
    save(clinic, SaveAway(kind=kind, code=code, id=away.id, form=replace(form, from_time="12:00", note="x"), read=2))
    assert hours(28) == (Interval(540, 720),)
    save(clinic, RemoveAway(kind=kind, code=code, id=away.id, read=3))
    assert filled(clinic, code).away == ()
    assert hours(31) in ((Interval(540, 1020),), None)


def test_in_another_zone_absences_keep_their_local_times(clinic: Store) -> None:
    form = AwayForm(from_date="2031-03-11", from_time="09:30", to_date="2031-03-11", to_time="11:00")
    save(clinic, SaveAway(kind="staff", code="A1", form=form, read=1))
    now = filled_set_up(clinic)
    save(clinic, SaveClinic(form=replace(now.clinic, time_zone="Asia/Kolkata"), read=now.version))
    assert [away.form for away in filled(clinic, "A1").away] == [form]
    day = new_day(clinic, TUESDAY)
    assert day is not None
    assert day.staff_by_id["A1"].hours == (Interval(540, 570), Interval(660, 780))


def test_lists_hold_what_holds_a_comma(clinic: Store) -> None:
    form = PlaceForm(code="back", name="back", bays='"B1, left", "B1 ""old"""', tags="step-free")
    save(clinic, SaveThing(form=form, read=None))
    assert filled(clinic, "back").form == form
    day = new_day(clinic, MONDAY)
    assert day is not None
    assert day.place_by_id["back"].bays == ("B1, left", 'B1 "old"')


def test_a_unit_that_stands_nowhere_known_is_told_where_it_may(clinic: Store) -> None:
    with pytest.raises(InputError, match=r"places: there is no place 'attic'; give the id of one of: 'front'"):
        save(clinic, SaveThing(form=replace(U2, code="U3", places="attic"), read=None))
