"""A visit that moves to another day or is lost, as calendars have it: one event, each time with a higher SEQUENCE.

RFC 5545, 3.8.4.7 and 3.8.7.4 (https://www.rfc-editor.org/rfc/rfc5545); RFC 5546, 2.1.4 and 2.1.5.
"""

from dataclasses import replace
from datetime import date

import pytest
from icalendar import Calendar

from app.db.store import Store
from app.services.accounts import make_account
from app.services.days import save_day
from app.services.openings.moving import Moved, move, move_asked, move_back
from app.services.openings.search import search
from app.services.openings.undoing import undo
from app.services.placing import with_placed, without
from app.services.setup.things import SaveThing
from app.services.visits.about import visit_ids
from app.services.visits.calendars import feed, visit_calendar
from app.services.visits.feeds import make_feed
from app.services.visits.life import step, take_back
from solver.schedule import PlacedVisit
from tests.builders import A_DATE, a_plan, placed
from tests.data.front_desk import Desk, clock, limits
from tests.data.set_up_clinic import ANN, MONDAY, T1, TUESDAY, a_booked_day, book, kept, save
from tests.data.visit_clinic import save_three, three_visits


def events(file: bytes | None) -> list[tuple[str, int, str, str]]:
    """UID, SEQUENCE, STATUS, and the date of the start."""
    assert file is not None
    return [
        (str(one["uid"]), int(str(one["sequence"])), str(one["status"]), one.decoded("dtstart").date().isoformat())
        for one in Calendar.from_ical(file).walk("VEVENT")
    ]


def moved_to_tuesday(desk: Desk, code: str) -> Moved:
    asked, _ = move_asked(desk.store, MONDAY, code, limits(1, first=TUESDAY))
    opening = search(desk.ready, asked, clock=clock).best[0]
    done = move(desk.store, MONDAY, code, TUESDAY, opening.placed, read=opening.version, actor="desk", clock=clock)
    assert isinstance(done, Moved)
    return done


def test_a_visit_keeps_its_event_there_and_back(desk: Desk) -> None:
    booked = desk.booked(limits(1))
    (code,) = booked.placed
    make_account(desk.store, "boss", "administrator", actor="test")
    token = make_feed(desk.store, "T1", actor="boss")
    seen = [events(feed(desk.store, token, today=MONDAY))]
    file = [events(visit_calendar(desk.store, visit_ids(desk.store, MONDAY)[code]))]
    # Steps that were taken back on the first day count for good, whatever the other day's version is.
    here = visit_ids(desk.store, MONDAY)[code]
    for n in range(0, 6, 2):
        step(desk.store, here, "arrived", "", seen=n, actor="boss")
        take_back(desk.store, here, seen=n + 1, actor="boss")
    seen.append(events(feed(desk.store, token, today=MONDAY)))
    there = moved_to_tuesday(desk, code)
    seen.append(events(feed(desk.store, token, today=MONDAY)))
    file.append(events(visit_calendar(desk.store, visit_ids(desk.store, TUESDAY)[code])))
    assert isinstance(move_back(desk.store, there, actor="desk"), Moved)
    seen.append(events(feed(desk.store, token, today=MONDAY)))
    file.append(events(visit_calendar(desk.store, visit_ids(desk.store, MONDAY)[code])))
    for row in (seen, file):
        assert all(len(one) == 1 for one in row)
        flat = [one for (one,) in row]
        assert len({uid for uid, *_ in flat}) == 1
        assert {status for _, _, status, _ in flat} == {"CONFIRMED"}
        editions = [edition for _, edition, *_ in flat]
        assert editions == sorted(set(editions))
    assert [one[3] for (one,) in file] == [MONDAY.isoformat(), TUESDAY.isoformat(), MONDAY.isoformat()]


def test_cancelled_on_the_day_it_was_moved_to_is_the_same_event_cancelled(desk: Desk) -> None:
    (code,) = desk.booked(limits(1)).placed
    make_account(desk.store, "boss", "administrator", actor="test")
    token = make_feed(desk.store, "T1", actor="boss")
    ((uid, first, *_),) = events(feed(desk.store, token, today=MONDAY))
    moved_to_tuesday(desk, code)
    step(desk.store, visit_ids(desk.store, TUESDAY)[code], "cancelled", "is ill", seen=0, actor="boss")
    ((gone, last, status, _),) = events(feed(desk.store, token, today=MONDAY))
    assert (gone, status) == (uid, "CANCELLED")
    assert last > first


def test_a_code_that_stands_on_two_days_is_two_events(store: Store) -> None:
    """Files may name a visit of the same patient the same on every day; also where one of them was cancelled."""
    ids = save_three(store)
    day, plan = three_visits()
    later = replace(day, date=TUESDAY)
    save_day(store, later, replace(plan, date=TUESDAY), read=0, actor="test")
    make_account(store, "boss", "administrator", actor="test")
    token = make_feed(store, "T1", actor="boss")
    before = {uid for uid, *_ in events(feed(store, token, today=A_DATE))}
    assert len(before) == 4
    step(store, ids["V1"], "cancelled", "is ill", seen=0, actor="boss")
    after = events(feed(store, token, today=A_DATE))
    assert {uid for uid, *_ in after} == before
    assert len(after) == 4


def a_feed(store: Store, *staff: str) -> tuple[str, ...]:
    """The secrets of calendar addresses of these."""
    make_account(store, "boss", "administrator", actor="test")
    return tuple(make_feed(store, code, actor="boss") for code in staff)


def by_uid(store: Store, token: str, today: date = MONDAY) -> dict[str, tuple[int, str, str]]:
    found = events(feed(store, token, today=today))
    assert len({uid for uid, *_ in found}) == len(found)
    return {uid: tuple(rest) for uid, *rest in found}  # type: ignore[misc]


def moved(store: Store, code: str, at: PlacedVisit) -> Moved:
    read = kept(store, TUESDAY).version
    done = move(store, MONDAY, code, TUESDAY, at, read=read, actor="desk", clock=clock)
    assert isinstance(done, Moved)
    return done


@pytest.mark.parametrize("patient", ["Ann Early", "Bea Later"])
def test_on_a_day_on_which_its_code_is_taken_a_visit_has_its_event_still(clinic: Store, patient: str) -> None:
    """Tuesday has a visit of the same code, of the same patient or of another; that has its own event all along."""
    a_booked_day(clinic)
    other = replace(ANN, patient=patient)
    book(clinic, TUESDAY, (other, placed(other, "09:00")))
    (token,) = a_feed(clinic, "T1")
    before = by_uid(clinic, token)
    (theirs,) = (uid for uid, (_, _, date) in before.items() if date == TUESDAY.isoformat())
    done = moved(clinic, "V1", placed(ANN, "10:00"))
    assert done.code != "V1"
    there = by_uid(clinic, token)
    assert isinstance(move_back(clinic, done, actor="desk"), Moved)
    back = by_uid(clinic, token)
    assert before.keys() == there.keys() == back.keys()
    assert {status for one in (there, back) for _, status, _ in one.values()} == {"CONFIRMED"}
    mine = {uid for uid, (_, _, date) in there.items() if before[uid][2] != date}
    assert len(mine) == 1
    assert theirs not in mine
    assert {uid: date for uid, (_, _, date) in back.items()} == {uid: date for uid, (_, _, date) in before.items()}
    for uid in mine:
        assert before[uid][0] < there[uid][0] < back[uid][0]
    assert [visit.id for visit in kept(clinic).day.visits] == ["V2", "V3", "V1"]


def test_a_booking_that_is_undone_is_cancelled_in_calendars_and_booked_again_it_is_another(desk: Desk) -> None:
    (token,) = a_feed(desk.store, "T1")
    opening = desk.search(limits(1))[0]
    booked = desk.booked(limits(1))
    ((uid, first, *_),) = events(feed(desk.store, token, today=MONDAY))
    undo(desk.store, booked, actor="desk")
    ((gone, last, status, date),) = events(feed(desk.store, token, today=MONDAY))
    assert (gone, status, date) == (uid, "CANCELLED", MONDAY.isoformat())
    assert last > first
    again = desk.book(replace(opening, placed=booked.placed[next(iter(booked.placed))]), limits(1))
    assert again == replace(booked, version=3)
    found = by_uid(desk.store, token)
    assert (found[uid][1], len(found)) == ("CANCELLED", 2)
    assert sorted(status for _, status, _ in found.values()) == ["CANCELLED", "CONFIRMED"]


def test_what_a_file_takes_out_or_a_plan_leaves_out_is_cancelled_in_calendars(store: Store) -> None:
    save_three(store)
    (token,) = a_feed(store, "T1")
    before = by_uid(store, token, A_DATE)
    day, plan = without(*three_visits(), ["V1"])
    save_day(store, day, plan, read=1, actor="test")
    out = by_uid(store, token, A_DATE)
    left = a_plan(day)
    save_day(store, day, left, read=2, actor="test")
    none = by_uid(store, token, A_DATE)
    assert before.keys() == out.keys() == none.keys()
    assert sorted(status for _, status, _ in out.values()) == ["CANCELLED", "CONFIRMED"]
    assert {status for _, status, _ in none.values()} == {"CANCELLED"}
    for uid in before:
        assert before[uid][0] < none[uid][0]
        assert (out[uid][1] == "CANCELLED") <= (before[uid][0] < out[uid][0])


def test_who_gets_another_therapist_is_cancelled_with_the_one_before(clinic: Store) -> None:
    save(clinic, SaveThing(form=replace(T1, code="T2", breaks=("",) * 7), read=None))
    a_booked_day(clinic)
    one, other = a_feed(clinic, "T1", "T2")
    before = by_uid(clinic, one)
    now = kept(clinic)
    assert now.plan is not None
    theirs = placed(ANN, "09:00", hands="T2")
    day, plan = with_placed(now.day, now.plan, (), {"V1": replace(theirs, therapist="T2")}, ())
    save_day(clinic, day, plan, read=now.version, actor="test")
    ((uid, edition, status, _),) = events(feed(clinic, other, today=MONDAY))
    after = by_uid(clinic, one)
    assert (status, after[uid][1], after[uid][0]) == ("CONFIRMED", "CANCELLED", edition)
    assert edition > before[uid][0]
    assert by_uid(clinic, one, date(2031, 6, 1)) == {}
