"""What each treatment's visits use, as bars and as a table."""

from collections.abc import Iterable, Mapping

from app.views.use.pictures import Bar
from app.views.use.tables import Names, Table, name_of, percent
from solver.report.sums import Row, Sums

_COLUMNS = (
    *("treatment", "visits planned", "left out", "running min", "held min", "hands min"),
    *("% of all held", "held min a visit", "hands min a visit"),
)
_WITHOUT = "Booked without one of the catalogue"
MOST_DRAWN = 10
"""Of the catalogue; a clinic may have a hundred."""


def treatment_order(rows: Mapping[str, Row]) -> list[str]:
    """Those that hold channels longest first; visits without a treatment last."""
    return sorted(rows, key=lambda key: (not key, -rows[key]["held_min"], key))


def treatments_drawn(rows: Mapping[str, Row]) -> list[str]:
    """The longest of the catalogue, and visits without a treatment."""
    order = treatment_order(rows)
    return [key for number, key in enumerate(order) if number < MOST_DRAWN or not key]


def treatment_name(names: Names, key: str) -> str:
    return name_of(names, "treatments", key) if key else _WITHOUT


def treatment_bars(whole: Sums, names: Names) -> tuple[Bar, ...]:
    rows = whole.get("treatments", {})
    return use_bars(
        [(_visits(rows[key]["visits_placed"]), rows[key], treatment_name(names, key)) for key in treatments_drawn(rows)]
    )


def treatment_table(whole: Sums, names: Names) -> Table:
    rows = whole.get("treatments", {})
    held = sum(row["held_min"] for row in rows.values())
    cells = tuple((treatment_name(names, key), *_cells(rows[key], held)) for key in treatment_order(rows))
    return Table("treatments", "Treatments", _COLUMNS, cells)


def use_bars(rows: Iterable[tuple[str, Row, str]]) -> tuple[Bar, ...]:
    """Of a name, what it used and a heading. The longest goes from end to end."""
    rows = list(rows)
    most = max((row["held_min"] for _, row, _ in rows), default=0) or 1
    return tuple(
        Bar(
            name,
            round(100 * row["used_min"] / most, 1),
            round(100 * row["held_min"] / most, 1),
            f"{_hours(row['used_min'])} h / {_hours(row['held_min'])} h",
            group,
        )
        for name, row, group in rows
    )


def _cells(row: Row, held: int) -> tuple[str, ...]:
    visits = row["visits_placed"]
    each = (f"{row[of] / visits:.1f}" if visits else "" for of in ("held_min", "hands_min"))
    counts = (str(row[of]) for of in ("visits_placed", "visits_left_out", "used_min", "held_min", "hands_min"))
    return (*counts, percent(row["held_min"], held), *each)


def _visits(count: int) -> str:
    return f"{count} visit{'s' if count != 1 else ''}"


def _hours(minutes: int) -> str:
    return f"{minutes / 60:,.1f}"
