"""Planned beside actual over time: running minutes and the end of the day, by day, or by week where days are many."""

import datetime
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from app.clock import monday_of
from app.views.dates import short
from app.views.use.pictures import HEIGHT
from app.views.use.tables import Table
from solver.clock import clock
from solver.report.sums import PlannedAndActual, both_added

MOST_DAYS = 31
"""More of them are drawn by week."""
ENDS_HEIGHT = 84
_COLUMNS = (
    *("planned running min", "actual running min", "planned held min", "actual held min"),
    *("planned end", "actual end", "visits planned", "begun", "missed", "late"),
)
_TABLES = ("clinic", "record")
_HOUR = 60

Days = Mapping[datetime.date, PlannedAndActual]


@dataclass(frozen=True, slots=True)
class Step:
    """A day or a week. Heights are those of the drawing; an end without visits has none. ``text``: hours running."""

    name: str
    planned: float
    actual: float
    text: str
    planned_end: float | None
    actual_end: float | None


@dataclass(frozen=True, slots=True)
class Line:
    """Across a drawing, with what it stands for."""

    height: float
    text: str


@dataclass(frozen=True, slots=True)
class Steps:
    """``table``: the name of the table with the same figures. ``running``: lines of hours, ``ends`` of the clock."""

    by: str
    table: str
    steps: tuple[Step, ...]
    running: tuple[Line, ...]
    ends: tuple[Line, ...]


def steps(days: Days) -> Steps:
    shown, by = (days, "day") if len(days) <= MOST_DAYS else (_weeks(days), "week")
    rows = {date: (both.planned["clinic"]["all"], both.actual["clinic"]["all"]) for date, both in shown.items()}
    most = _apart(max(row["used_min"] for pair in rows.values() for row in pair) / _HOUR) * 2 * _HOUR
    ends = [row["peak_end"] for pair in rows.values() for row in pair if row["peak_end"]]
    first, last = min(ends, default=0) // _HOUR, max(-(-max(ends, default=0) // _HOUR), 1)
    first = min(first, last - 1)

    def height(end: int) -> float | None:
        return round(ENDS_HEIGHT * (end - first * _HOUR) / ((last - first) * _HOUR), 1) if end else None

    found = tuple(
        Step(
            short(date),
            round(HEIGHT * was["used_min"] / most, 1),
            round(HEIGHT * now["used_min"] / most, 1),
            f"{_hours(was['used_min'])} / {_hours(now['used_min'])}",
            height(was["peak_end"]),
            height(now["peak_end"]),
        )
        for date, (was, now) in rows.items()
    )
    running = tuple(Line(HEIGHT * half / 2, f"{most * half // (2 * _HOUR)} h") for half in (0, 1, 2))
    apart = max(1, (last - first) // 4)
    clocks = tuple(
        Line(round(ENDS_HEIGHT * (hour - first) / (last - first), 1), clock(hour * _HOUR))
        for hour in range(first, last + 1, apart)
    )
    return Steps(by, f"actual-{by}s", found, running, clocks)


def _apart(hours: float) -> int:
    """Whole hours, a round number, twice of which is not less."""
    ten = 1
    while ten * 20 < hours:
        ten *= 10
    steps = (10, 12, 15, 20, 25, 30, 40, 50, 60, 80, 100)
    return next(apart for step in steps if (apart := -(-step * ten // 10)) * 2 >= hours)


def step_tables(days: Days) -> Iterator[Table]:
    """Day by day, and week by week with the latest end of each."""
    yield Table("actual-days", "Day by day, planned and actual", ("day", *_COLUMNS), _rows(days))
    weeks = tuple(column if "end" not in column else f"latest {column}" for column in _COLUMNS)
    yield Table("actual-weeks", "Week by week, planned and actual", ("week from", *weeks), _rows(_weeks(days)))


def _weeks(days: Days) -> Days:
    """By their Mondays, of the tables that are shown."""
    found: dict[datetime.date, list[PlannedAndActual]] = {}
    for date, both in days.items():
        planned, actual = ({name: sums[name] for name in _TABLES if name in sums} for sums in both)
        found.setdefault(monday_of(date), []).append(PlannedAndActual(planned, actual))
    return {monday: both_added(each) for monday, each in found.items()}


def _rows(days: Days) -> tuple[tuple[str, ...], ...]:
    found = []
    for date, both in days.items():
        was, now, kept = both.planned["clinic"]["all"], both.actual["clinic"]["all"], both.actual["record"]["all"]
        minutes = (str(row[of]) for of in ("used_min", "held_min") for row in (was, now))
        ends = (_end(row["peak_end"]) for row in (was, now))
        counts = (str(kept[of]) for of in ("visits", "begun", "missed", "late"))
        found.append((date.isoformat(), *minutes, *ends, *counts))
    return tuple(found)


def _end(minute: int) -> str:
    return clock(minute) if minute else ""


def _hours(minutes: int) -> str:
    return f"{minutes / _HOUR:.1f}" if minutes < 10 * _HOUR else f"{minutes / _HOUR:.0f}"
