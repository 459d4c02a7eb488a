"""What one more, or one less, of something is worth on a day, or on the days of a week: one comparison at a time.

Nothing of the days is changed by it. In the plans that are compared only visits that are fixed stay where they are;
those that are fixed to a unit that is away are freed.
"""

import datetime
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from typing import Literal

from app.db.store import Store
from app.queries.clinics import the_clinic
from app.queries.days import day_rows_from
from app.services.days import KeptDay, kept_day
from app.services.use.compared_days import DayAsked, Found, compared_days, searches
from app.services.use.one_job import Asked, OneJob, Progress, error_words
from app.worker import Ended
from solver.errors import Fault, InputError
from solver.progress import StopRequest
from solver.variants import Kind

MOST_SECONDS = 60
GRACE_S = 2.0
"""It ends the searches of its own that run; then it hands in what was compared."""
Span = Literal["day", "five", "six"]
WEEKDAYS: dict[Span, int] = {"five": 5, "six": 6}
"""How many days of a week are meant, from Monday on."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asking(Asked[Found]):
    """``of``: how many searches there are, the days themselves among them. ``days``: by date, the version of each.

    ``date`` is the one that was typed; ``span`` says which of its week are meant.
    """

    date: datetime.date
    span: Span
    days: Mapping[datetime.date, int]
    seconds: int
    kinds: tuple[Kind, ...]
    found: Found = ()


Compare = Callable[[tuple[DayAsked, ...], int, tuple[Kind, ...], Callable[[Progress[Found]], None], StopRequest], Found]


class OneMoreRoom(OneJob[Asking, Found]):
    field = "day"
    busy = "a comparison is running"

    def __init__(self, store: Store, compare: Compare | None = None) -> None:
        super().__init__()
        self._store = store
        self._compare: Compare = compare or compared_days

    def start(self, date: datetime.date, span: Span, kinds: tuple[Kind, ...], seconds: int) -> None:
        """Raises InputError where one runs, nobody is booked, or nothing of the kinds is in the clinic."""
        days = self._booked(date, span)
        if not days:
            when = f"on {date}" if span == "day" else f"in the week of {date}"
            raise InputError([Fault("day", f"nobody is booked {when}", "choose a day with visits")])
        of = sum(searches(each.day, kinds) for each in days)
        if of == len(days):
            raise InputError([Fault("kinds", "the clinic has nothing of what is chosen", "choose something else")])
        versions = {each.day.date: each.version for each in days}
        asked = Asking(date=date, span=span, days=versions, seconds=seconds, kinds=kinds, of=of)
        work = partial(self._compare, tuple(DayAsked(each.day, each.plan) for each in days), seconds, kinds)
        self._begin(asked, work, "stopped before a day was planned", GRACE_S)

    def suggested(self, today: datetime.date) -> datetime.date:
        """Today or the next day that somebody is booked on; today where there is none."""
        with self._store.reading() as session:
            rows = day_rows_from(session, the_clinic(session).id or 0, today)
            return min((row.date for row in rows), default=today)

    def _booked(self, date: datetime.date, span: Span) -> list[KeptDay]:
        """In order; at least one visit is in each."""
        kept = (kept_day(self._store, each) for each in _dates(date, span))
        return [day for day in kept if day is not None and day.day.visits]

    def _how(self, ended: Ended[Found], current: Asking) -> str:
        if ended.error:
            return error_words(ended)
        if not ended.stopped:
            return "Finished."
        return (
            "Stopped; what was compared until then is below." if ended.found else "Stopped before anything was found."
        )


def _dates(date: datetime.date, span: Span) -> list[datetime.date]:
    """The date, or so many days of its week from Monday on that the calendar has."""
    if span == "day":
        return [date]
    monday = date.toordinal() - date.weekday()
    days = range(max(monday, 1), min(monday + WEEKDAYS[span], datetime.date.max.toordinal() + 1))
    return [datetime.date.fromordinal(day) for day in days]
