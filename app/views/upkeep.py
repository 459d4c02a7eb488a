"""Upkeep that is due on a date, as the rooms of a day show it: in words and with a mark, never by colour alone."""

import datetime
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class DueLine:
    """``unit``: its code; empty for an item. ``text`` begins with what it is called."""

    unit: str
    text: str
    overdue: bool


def due_line(unit: str, name: str, kind: str, due_on: datetime.date, *, overdue: bool) -> DueLine:
    when = f"overdue, it was to be done by {written(due_on)}" if overdue else "due on this day"
    return DueLine(unit, f"{name}: {kind} {when}", overdue)


def written(date: datetime.date) -> str:
    """``4 March 2031``."""
    return f"{date.day} {date:%B} {date.year}"
