"""The pictures of a range as shapes to draw: lengths are in the units of the drawing, every value is written."""

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from app.views.dates import short
from app.views.use.tables import WEEKDAYS, Names, name_of
from solver.clock import clock
from solver.report.ratios import utilisation
from solver.report.sums import Row, Sums

HEIGHT = 120
"""Of a drawing whose values go upwards."""


@dataclass(frozen=True, slots=True)
class Bar:
    """``used`` and ``held``: lengths, per cent of the frame. ``group``: a heading above it, empty where as before."""

    name: str
    used: float
    held: float
    text: str
    group: str = ""


@dataclass(frozen=True, slots=True)
class Cell:
    """``level`` 0 to 4 says how dark; ``text`` per cent, or minutes after a ``+`` where nothing was in service; empty
    where nothing was held either.
    """

    column: int
    level: int
    text: str


@dataclass(frozen=True, slots=True)
class HeatRow:
    name: str
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class Heat:
    """``margin``: the length that the names of the rows need."""

    hours: tuple[str, ...]
    rows: tuple[HeatRow, ...]
    margin: int


@dataclass(frozen=True, slots=True)
class Column:
    """``height`` of the mean and ``peak`` of the most, as lengths of the drawing."""

    name: str
    height: float
    peak: float
    mean_text: str
    peak_text: str


@dataclass(frozen=True, slots=True)
class Point:
    """A week: ``used`` and ``held`` as heights of the drawing."""

    name: str
    used: float
    held: float
    used_text: str
    held_text: str


def heat(weekdays: Mapping[int, Sums]) -> Heat:
    """How much of its channels the clinic held, by weekday and hour."""
    return heat_of([(WEEKDAYS[weekday][:3], sums) for weekday, sums in weekdays.items()], 50)


def heat_of(named: Sequence[tuple[str, Sums]], margin: int) -> Heat:
    """A row for each that is named."""
    hours = sorted({hour for _, sums in named for hour in sums["hours"]})
    rows = tuple(
        HeatRow(name, tuple(_cell(i, sums["hours"].get(hour)) for i, hour in enumerate(hours))) for name, sums in named
    )
    return Heat(tuple(clock(int(hour) * 60) for hour in hours), rows, margin)


def bars(whole: Sums, names: Names) -> tuple[Bar, ...]:
    """Each unit's channels; the unit's name stands above its first."""
    found, before = [], ""
    for key, row in whole.get("channels", {}).items():
        unit, channel = key.rsplit(" ", 1)
        found.append(share_bar(channel, row, name_of(names, "units", unit) if unit != before else ""))
        before = unit
    return tuple(found)


def share_bar(name: str, row: Row, group: str) -> Bar:
    """Used and held of what was available; what passes it is said and not drawn."""
    used, held = _share(row)
    return Bar(name, min(used, 100), min(held, 100), f"{used:.0f} % / {held:.0f} %", group)


def columns(whole: Sums) -> tuple[Column, ...]:
    """Patients at once by hour of the day: the mean over the range, and the most."""
    hours = sorted(whole.get("hours", {}).items())
    most = max((row["peak_patients"] for _, row in hours), default=0) or 1
    return tuple(
        Column(
            clock(int(hour) * 60),
            round(HEIGHT * row["patient_min"] / row["open_min"] / most, 1),
            round(HEIGHT * row["peak_patients"] / most, 1),
            f"{row['patient_min'] / row['open_min']:.1f}",
            str(row["peak_patients"]),
        )
        for hour, row in hours
    )


def points(weeks: Mapping[str, Sums]) -> tuple[Point, ...]:
    """The clinic's channels week by week."""
    found = []
    for monday, sums in weeks.items():
        used, held = _share(sums["clinic"]["all"])
        name = short(datetime.date.fromisoformat(monday))
        found.append(
            Point(name, round(used * HEIGHT / 100, 1), round(held * HEIGHT / 100, 1), f"{used:.0f}", f"{held:.0f}")
        )
    return tuple(found)


def _share(row: Row) -> tuple[float, float]:
    available = row["available_min"]
    return (
        round(100 * utilisation(row["used_min"], available), 1),
        round(100 * utilisation(row["held_min"], available), 1),
    )


def _cell(column: int, row: Row | None) -> Cell:
    if row is None or not row["available_min"]:
        return Cell(column, 0, f"+{row['held_min']}" if row is not None and row["held_min"] else "")
    held = _share(row)[1]
    return Cell(column, min(4, int(held // 20)), f"{held:.0f}")
