"""Counts the days of a range whose figures are not kept yet. It runs in a process of its own."""

import datetime
import signal
from collections.abc import Mapping

from app.db.store import Store, open_store
from app.queries.booked_treatments import treatments_of_day
from app.queries.clinics import the_clinic
from app.queries.day_figures import figures_between, marks_between, write_figures
from app.queries.days import day_row
from app.services.day_room import DayRoom
from app.services.days import kept_day
from app.services.floor.room import FloorRoom
from app.services.use.actual import actual_sums
from solver.report.sums import Row, Sums, day_sums


def count_days(data: str, first: datetime.date, last: datetime.date, today: datetime.date) -> None:
    """``data``: a file name or an address, as ``--data`` takes it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    store = open_store(data)
    try:
        with store.reading() as session:
            days = figures_between(session, the_clinic(session).id or 0, first, last, today)
        for day in days:
            if not day.current:
                count_day(store, day.date, today)
    finally:
        store.close()


def count_day(store: Store, date: datetime.date, today: datetime.date) -> None:
    """Keep the figures of the day's plan and, before today, of what happened. Counted before the write lock is taken;
    nothing where the day moved on."""
    mark = _mark(store, date) if date < today else None
    read = kept_day(store, date)
    if read is None or read.plan is None:
        return
    treatments = _treatments(store, date)
    sums = day_sums(read.day, read.plan, treatments)
    actual = None if mark is None else _actual(store, date, treatments)
    with store.writing() as session:
        row = day_row(session, the_clinic(session, to_write=True).id or 0, date)
        if row is not None and row.version == read.version:
            write_figures(session, row, sums, actual, mark)


def _mark(store: Store, date: datetime.date) -> Row | None:
    """What was recorded by now; None where nothing was. Asked before it is read, so that it is never too new."""
    with store.reading() as session:
        return next(iter(marks_between(session, the_clinic(session).id or 0, date, date).values()), None)


def _treatments(store: Store, date: datetime.date) -> dict[str, str]:
    with store.reading() as session:
        row = day_row(session, the_clinic(session).id or 0, date)
        return {} if row is None else treatments_of_day(session, row.id or 0)


def _actual(store: Store, date: datetime.date, treatments: Mapping[str, str]) -> Sums | None:
    """None where all that was recorded of visits was taken back."""
    reading = FloorRoom(store, DayRoom(store)).read_once(date)
    if reading is None:
        return None
    sums = actual_sums(reading, treatments)
    record = sums["record"]["all"]
    return sums if record["begun"] or record["missed"] else None
