"""The demo clinic's days before today: planned, run to their end, with nothing left open."""

import datetime
from pathlib import Path

import pytest

from app.db.store import Store
from app.services.day_room import DayRoom
from app.services.days import kept_day
from app.services.demo_clinic import ACTOR, make_demo_clinic
from app.services.demo_past import WORKING_DAYS, make_past
from app.services.floor.handover import handover
from app.services.floor.room import FloorRoom
from app.services.visits.waiting import waiting_list
from app.settings import bundled
from solver.verify import verify

TODAY = datetime.date(2026, 3, 4)


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Store:
    folder: Path = tmp_path_factory.mktemp("demo")
    store = make_demo_clinic(folder, bundled("demo_data") / "day.json", TODAY)
    make_past(store, TODAY, actor=ACTOR)
    return store


def past_dates() -> list[datetime.date]:
    dates = [TODAY - datetime.timedelta(days=back) for back in range(1, 15)]
    return [date for date in dates if date.weekday() < 5][:WORKING_DAYS]


def test_every_working_day_before_today_has_a_right_plan(store: Store) -> None:
    days = [kept_day(store, date) for date in past_dates()]
    assert len(days) == WORKING_DAYS
    for kept in days:
        assert kept is not None
        assert kept.plan is not None
        assert verify(kept.day, kept.plan) == []


def test_every_visit_was_given_and_signed_but_for_one_that_was_missed(store: Store) -> None:
    room = FloorRoom(store, DayRoom(store))
    for date in past_dates():
        reading = room.read(date)
        assert reading is not None
        whole = handover(reading, datetime.datetime(2026, 3, 4, 6, tzinfo=datetime.UTC))
        assert not whole.open_visits
        assert sorted({visit.outcome for visit in whole.visits}) == ["given", "missed"]
        assert sum(visit.outcome == "missed" for visit in whole.visits) == 1


def test_somebody_waits_with_each_kind_of_wish(store: Store) -> None:
    waiting = waiting_list(store)
    assert len({line.patient for line in waiting}) == len(waiting) == 3
    for wish in ("hours", "weekdays", "therapist", "note"):
        assert sum(bool(getattr(line, wish)) for line in waiting) == 1
