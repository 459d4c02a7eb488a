"""Upkeep that is due on a date, for the rooms of a day."""

import datetime

from app.db.store import Store
from app.services.upkeep.records import due_on
from app.views.upkeep import DueLine, due_line


def due_lines(store: Store, date: datetime.date) -> tuple[DueLine, ...]:
    """What is due or overdue of units and items in use; units first."""
    return tuple(
        due_line(due.thing.code if due.thing.of == "unit" else "", due.name, due.kind, due.due_on, overdue=due.overdue)
        for due in due_on(store, date)
    )
