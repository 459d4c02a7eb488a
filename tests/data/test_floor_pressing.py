"""Presses kept in the database: once each, only added to, and with what they make of a visit."""

import datetime
import threading
import uuid
from collections.abc import Iterator
from datetime import timedelta
from typing import Any

import pytest
from sqlalchemy import text
from sqlmodel import col, select

from app.db.store import Store
from app.errors import StoreError
from app.models import LiveEvent
from app.queries.visit_life import known_visit, row_ids
from app.services.databases import open_database
from app.services.day_room import DayRoom
from app.services.days import save_day
from app.services.floor.pressing import Press, press
from app.services.floor.room import FloorRoom
from solver.errors import InputError
from tests.app.clinic_days import DATE, a_clinic_day, a_clinic_plan
from tests.app.floor_days import instant
from tests.data.conftest import CopyOf

GO: dict[str, Any] = {"decision": "go", "by": "Tess Ray"}


class Pressed:
    """A store with the small day, and its Floor."""

    def __init__(self, store: Store) -> None:
        self.store = store
        self.room = FloorRoom(store, DayRoom(store))
        with store.reading() as session:
            self.ids = row_ids(session, 1, DATE)

    def make(self, kind: str, visit: str | None = None, part: int | None = None, **more: Any) -> Press:
        known = {name: more.pop(name) for name in ("key", "ago", "undoes") if name in more}
        known.setdefault("key", str(uuid.uuid4()))
        texts = {name: str(value) for name, value in more.items()}
        return Press(kind=kind, visit=None if visit is None else self.ids[visit], part=part, texts=texts, **known)

    def press(self, time: str, kind: str, visit: str | None = None, part: int | None = None, **more: Any) -> int:
        made = self.make(kind, visit, part, **more)
        return press(self.store, self.room, DATE, made, actor="Tess Ray", clock=lambda: instant(time))

    def status(self, visit: str) -> str:
        with self.store.reading() as session:
            known = known_visit(session, 1, self.ids[visit])
            assert known is not None
            return known.status

    def events(self) -> list[LiveEvent]:
        with self.store.reading() as session:
            rows = session.exec(select(LiveEvent).order_by(col(LiveEvent.id))).all()
            for row in rows:
                session.expunge(row)
            return list(rows)

    def begin(self, visit: str, time: str) -> int:
        self.press(time, "arrived", visit)
        self.press(time, "decided", visit, **GO)
        return self.press(time, "started", visit, 0)


@pytest.fixture
def floor(made_data: str, copy_of: CopyOf) -> Iterator[Pressed]:
    store = open_database(copy_of(made_data))
    day = a_clinic_day()
    save_day(store, day, a_clinic_plan(day), read=0, actor="test")
    yield Pressed(store)
    store.close()


def test_sent_twice_it_is_one_event(floor: Pressed) -> None:
    made = floor.make("arrived", "V1")
    ids = [
        press(floor.store, floor.room, DATE, made, actor="Tess Ray", clock=lambda: instant("08:55")) for _ in range(3)
    ]
    assert len(set(ids)) == 1
    assert len(floor.events()) == 1


def test_a_battery_is_empty_until_that_is_taken_back(floor: Pressed) -> None:
    first = floor.press("09:05", "battery_empty", unit="U1")
    again = floor.press("09:30", "battery_empty", unit="U1")
    read = floor.room.read(DATE)
    assert read is not None
    assert read.state.empty == {"U1": instant("09:30")}
    with pytest.raises(InputError, match="not the last"):
        floor.press("09:31", "undone", undoes=first)
    floor.press("09:31", "undone", undoes=again)
    floor.press("09:32", "undone", undoes=first)
    read = floor.room.read(DATE)
    assert read is not None
    assert read.state.empty == {}


@pytest.mark.parametrize("change", ["UPDATE live_event SET kind = 'ended'", "DELETE FROM live_event"])
def test_events_are_only_added_to(floor: Pressed, change: str) -> None:
    floor.press("08:55", "arrived", "V1")
    with pytest.raises(StoreError, match="only added"), floor.store.writing() as session:
        session.connection().execute(text(change))
    assert [event.kind for event in floor.events()] == ["arrived"]


def test_arriving_and_the_last_end_make_steps_of_the_visits_life(floor: Pressed) -> None:
    floor.press("08:55", "arrived", "V1")
    assert floor.status("V1") == "arrived"
    floor.press("08:56", "decided", "V1", **GO)
    floor.press("09:00", "started", "V1", 0)
    floor.press("09:05", "phase", "V1", 0, phase=1)
    floor.press("09:15", "phase", "V1", 0, phase=2)
    assert floor.status("V1") == "arrived"
    floor.press("09:20", "ended", "V1", 0)
    assert floor.status("V1") == "fulfilled"


def test_taking_back_takes_the_step_back_too(floor: Pressed) -> None:
    floor.begin("V1", "09:00")
    ended = floor.press("09:10", "ended", "V1", 0, reason="enough")
    floor.press("09:11", "undone", undoes=ended)
    assert floor.status("V1") == "arrived"
    reading = floor.room.read(DATE)
    assert reading is not None
    assert reading.state.visits["V1"].running == 0


def test_only_the_last_press_is_taken_back(floor: Pressed) -> None:
    first = floor.press("08:55", "arrived", "V1")
    floor.press("08:56", "decided", "V1", **GO)
    with pytest.raises(InputError, match="not the last"):
        floor.press("08:57", "undone", undoes=first)


def test_taking_back_an_end_puts_nobody_on_a_channel_that_somebody_has(floor: Pressed) -> None:
    floor.begin("V1", "09:00")
    ended = floor.press("09:20", "ended", "V1", 0, reason="enough")
    floor.begin("V2", "09:21")
    kept = [event.id for event in floor.events()]
    with pytest.raises(InputError, match="s1 still runs for Bea Later"):
        floor.press("09:22", "undone", undoes=ended)
    assert [event.id for event in floor.events()] == kept
    assert floor.status("V1") == "fulfilled"


def test_a_press_that_waited_counts_from_when_it_was_made(floor: Pressed) -> None:
    floor.press("09:00", "arrived", "V1", ago=90)
    (event,) = floor.events()
    assert (event.at, event.received_at) == (instant("08:58:30"), instant("09:00"))


def test_no_press_comes_before_the_one_that_it_rests_on(floor: Pressed) -> None:
    floor.press("09:00", "arrived", "V1")
    floor.press("09:01", "decided", "V1", ago=3600, **GO)
    assert floor.events()[-1].at == instant("09:00")


def test_a_refused_press_leaves_nothing(floor: Pressed) -> None:
    floor.press("08:55", "arrived", "V1")
    with pytest.raises(InputError, match="no clinician has decided"):
        floor.press("09:00", "started", "V1", 0)
    assert [event.kind for event in floor.events()] == ["arrived"]


def test_a_missed_visit_leaves_its_day_and_comes_back(floor: Pressed) -> None:
    missed = floor.press("08:00", "missed", "V1")
    assert floor.status("V1") == "noshow"
    reading = floor.room.read(DATE)
    assert reading is not None
    assert "V1" not in reading.placed
    floor.press("08:01", "undone", undoes=missed)
    again = floor.room.read(DATE)
    assert again is not None
    assert "V1" in again.placed


def test_what_the_desk_does_shows_on_the_floor(floor: Pressed) -> None:
    from app.services.visits.life import step

    before = floor.room.read(DATE)
    step(floor.store, floor.ids["V2"], "arrived", seen=0, actor="desk")
    after = floor.room.read(DATE)
    assert before is not None
    assert after is not None
    assert not before.is_there("V2")
    assert after.is_there("V2")
    assert before.mark != after.mark


def test_pressing_from_many_sides_loses_and_doubles_nothing(floor: Pressed) -> None:
    presses = [floor.make("comfort", "V1", 0, said=f"well {number}") for number in range(24)]
    floor.begin("V1", "09:00")
    failed: list[Exception] = []

    def send(mine: list[Press]) -> None:
        for made in mine:
            try:
                press(floor.store, floor.room, DATE, made, actor="Tess Ray", clock=lambda: instant("09:01"))
            except Exception as error:
                failed.append(error)

    # Each press is sent by two of the six.
    threads = [threading.Thread(target=send, args=(presses[n % 3 :: 3],)) for n in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failed == []
    said = [event.detail["said"] for event in floor.events() if event.kind == "comfort"]
    assert sorted(said) == sorted(f"well {number}" for number in range(24))


@pytest.mark.parametrize(
    ("kind", "visit", "more", "says"),
    [
        ("nothing", "V1", {}, "nothing to press"),
        ("set_aside", None, {"item": "head-9"}, "none of this name"),
        ("battery_empty", None, {"unit": "U2"}, "Sorrel runs on mains"),
        ("battery_empty", None, {"unit": "U9"}, "none of this name"),
        ("decided", "V1", {"decision": "maybe", "by": ""}, "nothing is decided"),
        ("expected", "V1", {"minute": "25:00"}, "no time within"),
        ("arrived", None, {}, "not on this day"),
        ("arrived", "V1", {"key": "x"}, "no key of a press"),
    ],
)
def test_what_cannot_be_read_is_refused(
    floor: Pressed, kind: str, visit: str | None, more: dict[str, Any], says: str
) -> None:
    with pytest.raises(InputError, match=says):
        floor.press("09:00", kind, visit, **more)
    assert floor.events() == []


def test_events_stand_in_the_clinics_own_time(floor: Pressed) -> None:
    floor.press("09:00", "arrived", "V1")
    (event,) = floor.events()
    assert event.at.utcoffset() == timedelta(0)
    assert event.at.astimezone(datetime.UTC).hour == 9
