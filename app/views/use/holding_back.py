"""The page on what holds us back: rows that add up to the whole, and the days they come from."""

import datetime
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from app.views.dates import spoken
from app.views.openings_words import RULE_WORDS
from app.views.use.page import Number
from app.views.use.tables import percent
from app.views.words import length
from solver.holding_back import ITSELF, HoldingBack, Row
from solver.names import RuleName

Names = Mapping[tuple[RuleName, str], str]
"""What resources are called, by the rule that names them and their id."""
_WORDS = {
    ITSELF: "The visit itself",
    "clinic": "The clinic",
    "staff": "All staff",
    "units": "The units",
    "watch": "All staff who watch",
}
_LENGTH = 240
COLUMNS = ("resource", "what was in the way", "minutes", "% of all", "visits")
DAY_COLUMNS = ("day", "left out min", "away from wish min", "nothing in the way min", "most by", "idle channel min")


@dataclass(frozen=True, slots=True)
class Line:
    """A row of the list. ``share``: per cent of all. ``bar``: its length, of a drawing in which the first has 240."""

    what: str
    how: str
    minutes: int
    share: str
    visits: int
    bar: float


@dataclass(frozen=True, slots=True)
class DayLine:
    """A day of the range. ``most``: the first row of its own list; empty where there is none."""

    date: str
    spoken: str
    left_out: int
    moved: int
    open: int
    most: str
    idle: int


def numbers(whole: HoldingBack) -> tuple[Number, ...]:
    parts = f"{length(whole.left_out_min)} left out, {length(whole.moved_min)} away from their wish"
    idle = f"of {length(whole.service_min)} in service: {percent(whole.idle_min, whole.service_min) or 0} %"
    return (
        Number("Held back", length(whole.total_min), parts),
        Number("With nothing in the way", length(whole.open_min), "left out or moved, though the start could be had"),
        Number("Idle channel time", length(whole.idle_min), idle),
    )


def lines(whole: HoldingBack, names: Names) -> tuple[Line, ...]:
    most = whole.rows[0].minutes if whole.rows else 1
    return tuple(
        Line(
            what=_called(row, names),
            how=RULE_WORDS[row.rule],
            minutes=row.minutes,
            share=percent(row.minutes, whole.total_min),
            visits=row.visits,
            bar=round(_LENGTH * row.minutes / max(most, 1), 1),
        )
        for row in whole.rows
    )


def day_line(date: datetime.date, held: HoldingBack, names: Names) -> DayLine:
    return DayLine(
        date=date.isoformat(),
        spoken=spoken(date),
        left_out=held.left_out_min,
        moved=held.moved_min,
        open=held.open_min,
        most=f"{_called(held.rows[0], names)}: {RULE_WORDS[held.rows[0].rule]}" if held.rows else "",
        idle=held.idle_min,
    )


def line_cells(found: Iterable[Line]) -> list[tuple[str, ...]]:
    return [(each.what, each.how, str(each.minutes), each.share, str(each.visits)) for each in found]


def day_cells(found: Iterable[DayLine]) -> list[tuple[str, ...]]:
    return [
        (each.date, str(each.left_out), str(each.moved), str(each.open), each.most, str(each.idle)) for each in found
    ]


def _called(row: Row, names: Names) -> str:
    return names.get((row.rule, row.resource)) or _WORDS.get(row.resource, row.resource)
