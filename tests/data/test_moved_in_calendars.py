"""A visit that moves to another day, as calendars have it: one event, each time with a higher SEQUENCE.

RFC 5545, 3.8.4.7 and 3.8.7.4 (https://www.rfc-editor.org/rfc/rfc5545); RFC 5546, 2.1.4 and 2.1.5.
"""

from dataclasses import replace

import pytest
from icalendar import Calendar

from app.db.store import Store
from app.services.accounts import make_account
from app.services.days import save_day
from app.services.openings.moving import Moved, move, move_asked, move_back
from app.services.openings.search import search
from app.services.visits.about import visit_ids
from app.services.visits.calendars import feed, visit_calendar
from app.services.visits.feeds import make_feed
from app.services.visits.life import step, take_back
from tests.builders import A_DATE
from tests.data.front_desk import Desk, clock, desk_in, limits
from tests.data.set_up_clinic import MONDAY, TUESDAY
from tests.data.visit_clinic import save_three, three_visits


@pytest.fixture
def desk(clinic: Store) -> Desk:
    return desk_in(clinic)


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
