"""Upkeep that is due on a date, for the rooms of a day."""

import datetime
from collections.abc import Iterable

from app.db.store import Store
from app.services.upkeep.records import Due, due_on
from app.views.upkeep import DueLine, due_line


def due_lines(store: Store, date: datetime.date) -> tuple[DueLine, ...]:
    """What is due or overdue of units and items in use; units first."""
    return lines_of(due_on(store, date))


def lines_of(dues: Iterable[Due]) -> tuple[DueLine, ...]:
    """In their order."""
    return tuple(
        due_line(due.thing.code if due.thing.of == "unit" else "", due.name, due.kind, due.due_on, overdue=due.overdue)
        for due in dues
    )
