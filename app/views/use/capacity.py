"""The page on capacity: demand against what is free, week by week, as pictures, tables and CSV."""

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from app.views.dates import short
from app.views.upkeep import written
from app.views.use.tables import WEEKDAYS, Table
from app.views.words import counted, listed
from solver.clock import Interval

HEIGHT = 120


@dataclass(frozen=True, slots=True)
class WeekBar:
    """A week of a resource. ``demand`` and ``free`` as heights of the drawing; the texts in minutes."""

    name: str
    demand: float
    free: float
    demand_text: str
    free_text: str
    is_over: bool


@dataclass(frozen=True, slots=True)
class ResourceView:
    """An output, or hands. ``full``: when it is, in words. ``is_full``: within these weeks."""

    name: str
    title: str
    id: str
    full: str
    is_full: bool
    bars: tuple[WeekBar, ...]
    table: Table


@dataclass(frozen=True, slots=True)
class CapacityPage:
    """``title``: the dates. ``full``: what is full first, and when; empty where nothing is. ``hours``: the first;
    ``more_hours`` are in the CSV only."""

    title: str
    weeks: int
    most_weeks: int
    query: str
    full: str
    resources: tuple[ResourceView, ...]
    hours: Table
    more_hours: int
    treatments: Table
    tables: Mapping[str, Table]


_WEEKS = (
    *("week from", "in service or on duty min", "booked min", "free min"),
    *("courses min", "waiting list min", "without a place min", "demand min", "no room min", "no room by its end min"),
)
_HOURS = ("weekday and hour", "what", "adds min", "no room min", "may come then min", "would take min")


def resource_view(
    number: int,
    name: str,
    weeks: Sequence[tuple[datetime.date, tuple[int, ...]]],
    full: datetime.date | None,
) -> ResourceView:
    """``weeks``: the first date of each and the minutes of the table, in its order."""
    title = name[:1].upper() + name[1:]
    said = f"full in the week from {written(full)}" if full else f"not within {counted(len(weeks), 'week')}"
    most = max((max(cells[2], cells[6]) for _, cells in weeks), default=0) or 1
    rows = tuple((first.isoformat(), *map(str, cells)) for first, cells in weeks)
    return ResourceView(
        name=name,
        title=title,
        id=f"of-{number}",
        full=said,
        is_full=full is not None,
        bars=tuple(
            WeekBar(
                name=short(first),
                demand=round(HEIGHT * cells[6] / most, 1),
                free=round(HEIGHT * cells[2] / most, 1),
                demand_text=str(cells[6]),
                free_text=str(cells[2]),
                is_over=cells[6] > cells[2],
            )
            for first, cells in weeks
        ),
        table=Table("weeks", f"{title} by week", _WEEKS, rows),
    )


def hours_table(hours: Sequence[tuple[int, Interval, str, tuple[int, ...]]]) -> Table:
    """``hours``: weekday, hour, what, and the minutes of the table, in its order."""
    rows = tuple((f"{WEEKDAYS[day]} {block}", what, *map(str, cells)) for day, block, what, cells in hours)
    return Table("hours", "Hours to open", _HOURS, rows)


def treatments_table(names: Sequence[str], rows: Sequence[tuple[str, tuple[int, ...], Mapping[str, int]]]) -> Table:
    """``names``: of outputs and hands. ``rows``: treatment, sessions by source and later, minutes of one session."""
    columns = (
        "treatment",
        "sessions of courses",
        "waiting",
        "without a place",
        "later",
        *(f"{one} min" for one in names),
    )
    return Table(
        "treatments",
        "Sessions by treatment",
        columns,
        tuple((name, *map(str, counts), *(str(need.get(one, 0)) for one in names)) for name, counts, need in rows),
    )


def all_weeks(resources: Sequence[ResourceView]) -> Table:
    """The weeks of every resource, for CSV."""
    rows = tuple((one.name, *row) for one in resources for row in one.table.rows)
    return Table("weeks", "Demand and what is free", ("output or hands", *_WEEKS), rows)


def first_full(resources: Sequence[tuple[str, datetime.date | None]]) -> str:
    """What is full first; empty where nothing is."""
    dates = [date for _, date in resources if date is not None]
    if not dates:
        return ""
    return f"The week from {written(min(dates))}: {listed(name for name, date in resources if date == min(dates))}"
