"""Counts the days of a range whose figures are not kept yet. It runs in a process of its own."""

import datetime
import signal

from app.db.store import Store, open_store
from app.queries.clinics import the_clinic
from app.queries.day_figures import figures_between, write_figures
from app.queries.days import day_row
from app.services.days import kept_day
from solver.report.sums import day_sums


def count_days(data: str, first: datetime.date, last: datetime.date) -> None:
    """``data``: a file name or an address, as ``--data`` takes it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    store = open_store(data)
    try:
        with store.reading() as session:
            days = figures_between(session, the_clinic(session).id or 0, first, last)
        for day in days:
            if day.sums is None:
                count_day(store, day.date)
    finally:
        store.close()


def count_day(store: Store, date: datetime.date) -> None:
    """Keep the figures of the day's plan. Counted before the write lock is taken; nothing where the day moved on."""
    read = kept_day(store, date)
    if read is None or read.plan is None:
        return
    sums = day_sums(read.day, read.plan)
    with store.writing() as session:
        row = day_row(session, the_clinic(session, to_write=True).id or 0, date)
        if row is not None and row.version == read.version:
            write_figures(session, row, sums)
