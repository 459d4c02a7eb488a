"""The figures of any range of days: kept sums added up. Days without are counted in a process of their own."""

import datetime
import multiprocessing
import threading
from dataclasses import dataclass
from multiprocessing.process import BaseProcess

from app.clock import monday_of
from app.db.store import Store
from app.queries.clinics import the_clinic
from app.queries.day_figures import FiguresOfDay, figures_between
from app.queries.newest_names import newest_names
from app.services.use.counting import count_days
from solver.report.sums import PlannedAndActual, Sums, added, both_added

PATIENCE_S = 1.0
"""How long whoever asks waits for days that are not counted yet."""


@dataclass(frozen=True, slots=True)
class Range:
    """A range as sums. ``weekdays`` by ``date.weekday``; ``weeks`` by their Mondays; both only where a day is planned.

    ``recorded``: the days that have a record of what happened, each with its sums; ``recorded_weekdays`` and
    ``recorded_whole`` are those days added up. ``uncounted``: days whose figures are still being counted; what is not
    counted is in no sum.
    """

    first: datetime.date
    last: datetime.date
    whole: Sums
    weekdays: dict[int, Sums]
    weeks: dict[datetime.date, Sums]
    recorded: dict[datetime.date, PlannedAndActual]
    recorded_weekdays: dict[int, PlannedAndActual]
    recorded_whole: PlannedAndActual
    uncounted: int


class UseRoom:
    """Safe to use from many threads."""

    def __init__(self, store: Store) -> None:
        self._store = store
        self._lock = threading.Lock()
        self._process: BaseProcess | None = None

    def range(self, first: datetime.date, last: datetime.date, today: datetime.date) -> Range:
        """The figures from the first to the last date, both among them; what happened, of days before today."""
        found = read_range(self._store, first, last, today)
        if not found.uncounted:
            return found
        self._count(first, last, today).join(PATIENCE_S)
        return read_range(self._store, first, last, today)

    def days(self, first: datetime.date, last: datetime.date, today: datetime.date) -> tuple[FiguresOfDay, ...]:
        """The same, day by day."""
        found = read_days(self._store, first, last, today)
        if all(day.current for day in found):
            return found
        self._count(first, last, today).join(PATIENCE_S)
        return read_days(self._store, first, last, today)

    def names(self) -> dict[str, dict[str, str]]:
        """What units, applicators, places and staff are called, by the name of their table and their code."""
        with self._store.reading() as session:
            return newest_names(session, the_clinic(session).id or 0)

    def close(self) -> None:
        """End the counting; what it has kept stays."""
        with self._lock:
            if self._process is not None:
                self._process.kill()
                self._process.join()

    def _count(self, first: datetime.date, last: datetime.date, today: datetime.date) -> BaseProcess:
        """The process that counts; one at a time."""
        with self._lock:
            if self._process is None or not self._process.is_alive():
                context = multiprocessing.get_context("spawn")
                self._process = context.Process(
                    target=count_days, args=(self._store.address, first, last, today), daemon=True
                )
                self._process.start()
            return self._process


def read_range(store: Store, first: datetime.date, last: datetime.date, today: datetime.date) -> Range:
    """The range from what is kept alone."""
    days = read_days(store, first, last, today)
    by_week: dict[datetime.date, list[Sums]] = {}
    by_weekday: dict[int, list[Sums]] = {}
    for day in days:
        if day.sums is not None:
            by_week.setdefault(monday_of(day.date), []).append(day.sums)
            by_weekday.setdefault(day.date.weekday(), []).append(day.sums)
    recorded = {
        day.date: PlannedAndActual(day.sums, day.actual)
        for day in days
        if day.sums is not None and day.actual is not None
    }
    recorded_weekdays = {
        weekday: both_added(both for date, both in recorded.items() if date.weekday() == weekday)
        for weekday in sorted({date.weekday() for date in recorded})
    }
    weekdays = {weekday: added(sums) for weekday, sums in sorted(by_weekday.items())}
    return Range(
        first=first,
        last=last,
        whole=added(weekdays.values()),
        weekdays=weekdays,
        weeks={week: added(sums) for week, sums in sorted(by_week.items())},
        recorded=recorded,
        recorded_weekdays=recorded_weekdays,
        recorded_whole=both_added(recorded_weekdays.values()),
        uncounted=sum(not day.current for day in days),
    )


def read_days(
    store: Store, first: datetime.date, last: datetime.date, today: datetime.date
) -> tuple[FiguresOfDay, ...]:
    """Each planned day of the range from what is kept alone."""
    with store.reading() as session:
        return figures_between(session, the_clinic(session).id or 0, first, last, today)
