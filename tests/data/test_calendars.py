"""Calendar files read back by another hand, after RFC 5545 (https://www.rfc-editor.org/rfc/rfc5545)."""

import re
from dataclasses import replace
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest
from icalendar import Calendar

from app.db.store import Store
from app.services.accounts import make_account
from app.services.days import save_day
from app.services.visits.about import visit_ids
from app.services.visits.calendars import Entry, feed, visit_calendar, written
from app.services.visits.feeds import end_feed, feeds_for, make_feed
from app.services.visits.life import step, take_back
from solver.clock import Interval
from solver.errors import InputError
from tests.builders import A_DATE
from tests.data.visit_clinic import save_three, three_visits

DUBLIN = ZoneInfo("Europe/Dublin")
CHANGED = datetime(2031, 3, 1, 12, tzinfo=UTC)


def an_entry(day: date, start: int, end: int) -> Entry:
    return Entry("visit-1@key", "Visit 1", "Rowan, Front", day, Interval(start, end), DUBLIN, False, CHANGED, 3)


def events(file: bytes | None) -> list[dict[str, object]]:
    assert file is not None
    found = Calendar.from_ical(file).walk("VEVENT")
    return [{name.lower(): getattr(value, "dt", value) for name, value in event.items()} for event in found]


def test_an_event_has_what_the_standard_asks_for_once() -> None:
    """Sections 3.4 (VERSION and PRODID), 3.6.1 (UID and DTSTAMP are required), 3.1 (CRLF, lines of 75 octets)."""
    file = written([an_entry(date(2031, 3, 4), 540, 560)])
    calendar = Calendar.from_ical(file)
    assert (calendar["version"], bool(calendar["prodid"])) == ("2.0", True)
    for name in (b"UID", b"DTSTAMP", b"DTSTART", b"DTEND"):
        assert len(re.findall(rb"(?m)^" + name + rb"[:;]", file)) == 1
    assert file.endswith(b"END:VCALENDAR\r\n")
    assert all(len(line) <= 75 for line in file.split(b"\r\n"))
    (event,) = events(file)
    assert event["dtstamp"] == CHANGED


def test_the_end_is_exclusive_so_two_visits_that_touch_do_not_overlap() -> None:
    """Section 3.6.1: DTEND is the non-inclusive end of the event."""
    first, second = events(written([an_entry(A_DATE, 540, 560), an_entry(A_DATE, 560, 570)]))
    assert first["dtend"] == second["dtstart"] == datetime(2031, 3, 4, 9, 20, tzinfo=UTC)


@pytest.mark.parametrize(
    ("day", "start", "end", "first", "last"),
    [
        (date(2031, 3, 29), 540, 600, "20310329T090000Z", "20310329T100000Z"),
        (date(2031, 3, 30), 540, 600, "20310330T080000Z", "20310330T090000Z"),
        (date(2031, 3, 30), 30, 150, "20310330T003000Z", "20310330T013000Z"),
        (date(2031, 10, 26), 30, 150, "20311025T233000Z", "20311026T023000Z"),
        (date(2031, 10, 27), 540, 600, "20311027T090000Z", "20311027T100000Z"),
    ],
)
def test_instants_are_right_where_clocks_change(day: date, start: int, end: int, first: str, last: str) -> None:
    """Section 3.3.5, form 2. In Dublin clocks change on 30 March and 26 October 2031 at 01:00 UTC (IANA, europe)."""
    file = written([an_entry(day, start, end)]).decode()
    assert f"DTSTART:{first}\r\n" in file
    assert f"DTEND:{last}\r\n" in file


def test_a_staff_member_has_their_visits_and_what_was_cancelled(store: Store) -> None:
    """Section 3.8.1.11: STATUS; 3.8.4.7: a UID stays the same; 3.8.7.4: SEQUENCE goes up."""
    ids = save_three(store)
    make_account(store, "boss", "administrator", actor="test")
    token = make_feed(store, "T1", actor="boss")
    before = events(feed(store, token, today=A_DATE))
    assert [event["status"] for event in before] == ["CONFIRMED", "CONFIRMED"]
    step(store, ids["V1"], "cancelled", "is ill", seen=0, actor="boss")
    after = {event["uid"]: event for event in events(feed(store, token, today=A_DATE))}
    gone = after[before[0]["uid"]]
    assert (gone["status"], gone["dtstart"]) == ("CANCELLED", before[0]["dtstart"])
    assert int(str(gone["sequence"])) > int(str(before[0]["sequence"]))
    take_back(store, ids["V1"], seen=1, actor="boss")
    back = {event["uid"]: event["status"] for event in events(feed(store, token, today=A_DATE))}
    assert back == {event["uid"]: "CONFIRMED" for event in before}
    file = feed(store, token, today=A_DATE)
    assert file is not None
    for word in (b"Ann", b"Bea", b"V1", b"p1"):
        assert word not in file
    assert events(feed(store, token, today=date(2031, 6, 1))) == []


def test_a_visit_that_has_no_time_has_no_file(store: Store) -> None:
    ids = save_three(store)
    assert visit_calendar(store, ids["V3"]) is None
    assert visit_calendar(store, 999) is None
    (event,) = events(visit_calendar(store, ids["V2"]))
    assert event["summary"] == "Appointment at Test clinic"


def test_an_address_works_until_it_is_ended_and_is_kept_as_a_digest_only(store: Store) -> None:
    save_three(store)
    for name, role, staff in (("boss", "administrator", ""), ("tess", "therapist", "T1"), ("desk", "desk", "")):
        make_account(store, name, role, staff, actor="test")
    token = make_feed(store, "T1", actor="tess")
    for other in ("desk", "nobody"):
        with pytest.raises(InputError, match="not your calendar"):
            make_feed(store, "T1", actor=other)
    (line,) = feeds_for(store, "boss")[1]
    with pytest.raises(InputError, match="no such address"):
        end_feed(store, line.id, actor="desk")
    with store.engine.connect() as connection:
        assert token not in str(connection.exec_driver_sql("SELECT * FROM calendar_feed").all())
    end_feed(store, line.id, actor="tess")
    assert feed(store, token) is None
    assert feeds_for(store, "tess")[1] == ()


def test_a_changed_visit_keeps_its_name_in_calendars(store: Store) -> None:
    """Section 3.8.4.7: the identifier is persistent."""
    ids = save_three(store)
    day, plan = three_visits()
    (before,) = events(visit_calendar(store, ids["V1"]))
    changed = replace(day, visits=(replace(day.visits[0], priority=2), *day.visits[1:]))
    save_day(store, changed, plan, read=1, actor="test")
    new = visit_ids(store, A_DATE)["V1"]
    assert new != ids["V1"]
    (after,) = events(visit_calendar(store, new))
    assert after["uid"] == before["uid"]
