"""What becomes of each visit where a unit is away."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from app.views.use.tables import Names, Table, name_of
from app.views.words import counted
from solver.clock import clock
from solver.comparing import Where
from solver.whatif import Comparison, Row

AWAY = ("patient", "day", "unit away", "with it", "without it", "touched because it")


@dataclass(frozen=True, slots=True)
class Day:
    """A compared day. ``patients``: by visit, as they are called now."""

    name: str
    comparison: Comparison
    patients: Mapping[str, str]


def away_table(days: Iterable[Day], names: Names) -> Table:
    """A row for each visit on the unit, and for each other that is left out without it."""
    cells = [
        cell
        for day in days
        for row in day.comparison.rows
        if row.kind == "unit away"
        for cell in _rows(day, row, names)
    ]
    return Table("away", "What becomes of whom", AWAY, tuple(cells), (1, 2, 3, 4, 5))


def sentences(days: Iterable[Day], names: Names) -> tuple[str, ...]:
    """Each unit that is away on each day, in a line: how many are on it, and what becomes of them and of others."""
    return tuple(
        f"{day.name}, {name_of(names, 'units', row.of)} away: {_told(row)}"
        for day in days
        for row in day.comparison.rows
        if row.kind == "unit away"
    )


def _told(row: Row) -> str:
    if row.gain is None:
        return "no plan without it."
    out = sum(each.after is None for each in row.followed)
    stay = sum(each.after is not None and each.after.start == each.before.start for each in row.followed)
    later = len(row.followed) - out - stay
    parts = [f"{counted(stay, 'visit keeps its time', 'visits keep their time')}"] if stay else []
    parts += [f"{counted(later, 'is', 'are')} at another time"] if later else []
    parts += [f"{counted(out, 'is', 'are')} left out"] if out else []
    others = f"{counted(row.moved, 'other is', 'others are')} at another time or on another unit"
    return f"{'; '.join(parts) or 'nobody is on it'}; {others}."


def _rows(day: Day, row: Row, names: Names) -> Iterable[tuple[str, ...]]:
    for each in row.followed:
        was_on = row.of in each.before.units
        yield (
            day.patients.get(each.visit, each.visit),
            day.name,
            name_of(names, "units", row.of),
            _where(each.before, names),
            "left out" if each.after is None else _where(each.after, names),
            "was fixed to it, and is freed"
            if each.visit in row.freed
            else "is on it"
            if was_on
            else "gives way to others",
        )


def _where(where: Where, names: Names) -> str:
    return f"{clock(where.start)}, {' and '.join(name_of(names, 'units', unit) for unit in where.units)}"
