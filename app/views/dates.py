"""Dates in the clinic's manner, and the ways from one to another."""

import datetime
from dataclasses import dataclass

from app.clock import monday_of


@dataclass(frozen=True, slots=True)
class Dates:
    """A date with its neighbours as ISO texts. ``before`` or ``after`` is empty at the calendar's ends."""

    date: str
    before: str
    after: str
    today: str

    @property
    def is_today(self) -> bool:
        return self.date == self.today


def dates_around(date: datetime.date, today: datetime.date) -> Dates:
    one = datetime.timedelta(days=1)
    before = "" if date == datetime.date.min else (date - one).isoformat()
    after = "" if date == datetime.date.max else (date + one).isoformat()
    return Dates(date.isoformat(), before, after, today.isoformat())


def week_of(date: datetime.date) -> tuple[datetime.date, datetime.date]:
    """From Monday to Sunday."""
    monday = monday_of(date)
    return monday, monday + datetime.timedelta(days=6)


def spoken(date: datetime.date) -> str:
    """``Tuesday 4 March 2031``."""
    return f"{date:%A} {date.day} {date:%B} {date.year}"


def short(date: datetime.date) -> str:
    """``4 Mar``."""
    return f"{date.day} {date:%b}"
