"""The page of the Use room."""

import datetime
from collections.abc import Mapping
from dataclasses import dataclass

from app.views.dates import spoken
from app.views.use.actual import Beside, Record, beside, record_tables
from app.views.use.beside import Pictures, pictures_beside, tables_beside
from app.views.use.pictures import Bar, Column, Heat, Point, bars, columns, heat, points
from app.views.use.tables import Names, Table, percent, tables
from app.views.use.treatments import treatment_bars, treatment_table
from solver.report.sums import Row, Sums


@dataclass(frozen=True, slots=True)
class Number:
    """A figure to read from afar. ``note`` says what it is made of."""

    label: str
    value: str
    note: str


@dataclass(frozen=True, slots=True)
class Choice:
    """A range to go to."""

    name: str
    address: str
    current: bool


@dataclass(frozen=True, slots=True)
class UsePage:
    """``days``: with a plan and counted. ``uncounted``: with a plan and still to be counted. Dates are ISO.

    ``recorded``: of them, with a record of what happened; ``both``: pictures of those. ``query``: what an address
    needs to be of the same range. ``tables`` by name.
    """

    title: str
    first: str
    last: str
    query: str
    month: str
    choices: tuple[Choice, ...]
    days: int
    recorded: int
    beside: tuple[Beside, ...]
    both: Pictures | None
    uncounted: int
    numbers: tuple[Number, ...]
    heat: Heat
    bars: tuple[Bar, ...]
    columns: tuple[Column, ...]
    points: tuple[Point, ...]
    treatments: tuple[Bar, ...]
    tables: Mapping[str, Table]


def use_page(
    first: datetime.date,
    last: datetime.date,
    choices: tuple[Choice, ...],
    whole: Sums,
    weekdays: Mapping[int, Sums],
    weeks: Mapping[datetime.date, Sums],
    uncounted: int,
    names: Names,
    record: Record,
) -> UsePage:
    """The range from the first to the last date. ``names`` of units, applicators, bays and staff by their ids."""
    by_week = {week.isoformat(): sums for week, sums in weeks.items()}
    clinic = whole.get("clinic", {}).get("all")
    found = (
        *tables(whole, weekdays, by_week, names),
        treatment_table(whole, names),
        *record_tables(record, names),
        *tables_beside(record, names),
    )
    return UsePage(
        title=f"{spoken(first)} to {spoken(last)}" if first != last else spoken(first),
        first=first.isoformat(),
        last=last.isoformat(),
        query=f"from={first}&to={last}",
        month=f"{first:%Y-%m}",
        choices=choices,
        days=0 if clinic is None else clinic["days"],
        recorded=len(record.days),
        beside=beside(record),
        both=pictures_beside(record, names),
        uncounted=uncounted,
        numbers=() if clinic is None else _numbers(clinic),
        heat=heat(weekdays),
        bars=bars(whole, names),
        columns=columns(whole),
        points=points(by_week),
        treatments=treatment_bars(whole, names),
        tables={table.name: table for table in found},
    )


def _numbers(row: Row) -> tuple[Number, ...]:
    asked = row["visits_placed"] + row["visits_left_out"]
    return (
        Number(
            "Channels running",
            f"{percent(row['used_min'], row['available_min'])} %",
            f"raw: {_hours(row['used_min'])} of {_hours(row['available_min'])} in service",
        ),
        Number(
            "Channels held",
            f"{percent(row['held_min'], row['available_min'])} %",
            f"adjusted: {_hours(row['held_min'])} with set-up and waiting; 85 to 90 % is a sensible ceiling"
            " (Tyler 2003, of operating rooms)",
        ),
        Number(
            "Two or more on a unit",
            f"{percent(row['parallel_min'], row['occupied_min']) or '0.00'} %",
            f"parallel: {_hours(row['parallel_min'])} of {_hours(row['occupied_min'])} that units were occupied",
        ),
        Number("Most patients at once", str(row["peak_patients"]), "in the whole clinic, in any minute"),
        Number("Visits planned", str(row["visits_placed"]), f"of {asked} asked for; {row['visits_left_out']} left out"),
    )


def _hours(minutes: int) -> str:
    return f"{minutes // 60:,} h {minutes % 60:02}"
