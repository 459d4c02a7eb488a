"""The tables of a range: the same rows for the page and for CSV."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial

from solver.clock import clock
from solver.report.ratios import utilisation
from solver.report.sums import Row, Sums

Names = Mapping[str, Mapping[str, str]]
"""What things are called, by table and id."""

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


@dataclass(frozen=True, slots=True)
class Table:
    """``name`` is in the address of its CSV. ``rows``: a cell for each column, the first is the row's heading.

    ``words``: which of the other columns, counted from 1, hold words and no numbers.
    """

    name: str
    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    words: tuple[int, ...] = ()


_RATIOS = ("in service min", "running min", "held min", "raw %", "adjusted %")
_OF = {
    "units": ("Units", "unit", _RATIOS),
    "channels": ("Channels", "channel", _RATIOS),
    "outputs": ("Outputs", "output", _RATIOS),
    "applicators": (
        "Applicators",
        "applicator",
        ("available min", "held min", "held and turnaround min", "raw %", "adjusted %"),
    ),
    "bays": ("Bays", "bay", ("open min", "held min", "held and turnover min", "raw %", "adjusted %")),
}


def percent(used: int, available: int) -> str:
    """Such as ``81.54``; empty where nothing was available."""
    return f"{100 * utilisation(used, available):.2f}" if available else ""


def name_of(names: Names, table: str, key: str) -> str:
    """What the row is called; a channel has its unit's name before its own id."""
    if table == "channels":
        unit, channel = key.rsplit(" ", 1)
        return f"{name_of(names, 'units', unit)}, {channel}"
    return names.get(table, {}).get(key, key)


def tables(whole: Sums, weekdays: Mapping[int, Sums], weeks: Mapping[str, Sums], names: Names) -> tuple[Table, ...]:
    """``weeks`` by what they are called. ``names``: what a table's rows are called that have a name, by table."""
    found = [
        Table(name, title, (one, *ratios), _rows(whole.get(name, {}), partial(name_of, names, name)))
        for name, (title, one, ratios) in _OF.items()
    ]
    found.append(_staff(whole, names))
    units = ("unit", "occupied min", "two or more min", "parallel %", "most patients", "charging min")
    found.insert(1, Table("parallel", "Patients at once by unit", units, _parallel(whole, names)))
    hours = ("hour", *_RATIOS, "mean patients", "most patients")
    found += [
        Table("hours", "Hours of the day", hours, tuple(_hour(key, row) for key, row in _hours(whole))),
        Table("weekdays", "Weekdays", ("weekday", *_RATIOS), _rows(_clinics(weekdays), lambda key: WEEKDAYS[int(key)])),
        Table("heat", "Weekday and hour", ("weekday", "hour", *_RATIOS), _heat(weekdays)),
        Table("weeks", "Weeks", ("week from", *_RATIOS), _rows(_clinics(weeks), str)),
    ]
    return tuple(found)


def _rows(rows: Mapping[str, Row], named: Callable[[str], str]) -> tuple[tuple[str, ...], ...]:
    return tuple((named(key), *_ratios(row)) for key, row in rows.items())


def _staff(whole: Sums, names: Names) -> Table:
    """Hands are on or off: nothing of them is held besides."""
    rows = whole.get("staff", {}).items()
    cells = tuple(
        (
            name_of(names, "staff", key),
            str(row["available_min"]),
            str(row["used_min"]),
            percent(row["used_min"], row["available_min"]),
        )
        for key, row in rows
    )
    return Table("staff", "Staff, hands on of duty", ("member", "duty min", "hands min", "raw %"), cells)


def _ratios(row: Row) -> tuple[str, ...]:
    available, used, held = row["available_min"], row["used_min"], row["held_min"]
    return (str(available), str(used), str(held), percent(used, available), percent(held, available))


def _parallel(whole: Sums, names: Names) -> tuple[tuple[str, ...], ...]:
    return tuple(
        (
            name_of(names, "units", key),
            str(row["occupied_min"]),
            str(row["parallel_min"]),
            percent(row["parallel_min"], row["occupied_min"]),
            str(row["peak_patients"]),
            str(row["charging_min"]),
        )
        for key, row in whole.get("units", {}).items()
    )


def _hours(sums: Sums) -> list[tuple[str, Row]]:
    return sorted(sums.get("hours", {}).items())


def _hour(key: str, row: Row) -> tuple[str, ...]:
    mean = f"{row['patient_min'] / row['open_min']:.2f}" if row["open_min"] else ""
    return (clock(int(key) * 60), *_ratios(row), mean, str(row["peak_patients"]))


def _clinics(groups: Mapping[int, Sums] | Mapping[str, Sums]) -> dict[str, Row]:
    return {str(key): sums["clinic"]["all"] for key, sums in groups.items()}


def _heat(weekdays: Mapping[int, Sums]) -> tuple[tuple[str, ...], ...]:
    return tuple(
        (WEEKDAYS[weekday], clock(int(key) * 60), *_ratios(row))
        for weekday, sums in weekdays.items()
        for key, row in _hours(sums)
    )
