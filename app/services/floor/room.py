"""Reads a day with what happened on it, once for all who look at the same."""

import datetime
import threading
from zoneinfo import ZoneInfo

from sqlmodel import Session

from app.db.store import Store
from app.models import LiveEvent
from app.queries.clinics import the_clinic
from app.queries.days import day_row
from app.queries.live_events import events_of_day, events_of_things, newest_of_all, newest_step
from app.queries.visit_life import row_ids, statuses_of_day
from app.services.day_room import DayRoom
from app.services.floor.events import Event
from app.services.floor.reading import Reading
from app.services.floor.state import State, carried_over, state_of

CARRIED = datetime.timedelta(days=60)
"""What was set aside, or went out of service, within so many days before is so until somebody says otherwise."""


class FloorRoom:
    """Safe to use from many threads. Only the day that was read last is held ready: the Floor is about today."""

    def __init__(self, store: Store, days: DayRoom) -> None:
        self._store = store
        self._days = days
        self._lock = threading.Lock()
        self._last: Reading | None = None

    def read(self, date: datetime.date) -> Reading | None:
        """The day as it is now; None where no plan of it is kept."""
        with self._lock:
            last = self._last
        reading = self._read(date, last)
        if reading is not None:
            with self._lock:
                self._last = reading
        return reading

    def read_once(self, date: datetime.date) -> Reading | None:
        """The same of a day that is not the one that everybody looks at: it is not held ready."""
        return self._read(date, None)

    def _read(self, date: datetime.date, last: Reading | None) -> Reading | None:
        shown = self._days.shown(date)
        if shown.state != "planned" or shown.day is None or shown.plan is None:
            return None
        with self._store.reading() as session:
            clinic_id = the_clinic(session).id or 0
            mark = mark_of(session, clinic_id, date)
            if last is not None and last.mark == mark and last.day is shown.day:
                return last
            row = day_row(session, clinic_id, date)
            assert row is not None
            if row.version != shown.version:  # it was saved since it was shown
                return self._read(date, last)
            events = events_in(session, row.id or 0)
            return Reading(
                date=date,
                zone=ZoneInfo(row.time_zone),
                day=shown.day,
                plan=shown.plan,
                version=shown.version,
                mark=mark,
                events=events,
                state=state_of(events, _carried(session, clinic_id, date)),
                row_ids=row_ids(session, clinic_id, date),
                status=statuses_of_day(session, row.id or 0),
            )


def mark_of(session: Session, clinic_id: int, date: datetime.date) -> str:
    """Another text whenever the day, its plan, its events or what became of its visits is; empty where none is kept."""
    row = day_row(session, clinic_id, date)
    if row is None:
        return ""
    return f"{date}.{row.version}.{newest_of_all(session)[0]}.{newest_step(session, row.id or 0)}"


def _carried(session: Session, clinic_id: int, date: datetime.date) -> State:
    since = date - min(CARRIED, date - datetime.date.min)
    return carried_over(_event(row, None) for row in events_of_things(session, clinic_id, since, date))


def events_in(session: Session, day_id: int) -> tuple[Event, ...]:
    """The day's events in the order in which they were accepted."""
    return tuple(_event(row, code) for row, code in events_of_day(session, day_id))


def _event(row: LiveEvent, code: str | None) -> Event:
    return Event(row.id or 0, row.kind, code, row.part, row.at, row.actor, row.detail, row.undoes_id)
