"""What the database itself refuses, in the words of the database at hand."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager

from sqlalchemy import Connection

from app.db import postgresql, sqlite

_Overlap = Callable[[str, str], Iterator[str]]
_AppendOnly = Callable[[str], Iterator[str]]
_OVERLAP: dict[str, _Overlap] = {"sqlite": sqlite.overlap_guard, "postgresql": postgresql.overlap_guard}
_APPEND_ONLY: dict[str, _AppendOnly] = {"sqlite": sqlite.append_only_guard, "postgresql": postgresql.append_only_guard}
_EXCHANGE: dict[str, Callable[[Connection, str, str, str, str], None]] = {
    "sqlite": sqlite.exchange_check,
    "postgresql": postgresql.exchange_check,
}
_LIFT: dict[str, _AppendOnly] = {"sqlite": sqlite.lift_append_only, "postgresql": postgresql.lift_append_only}


def refuse_overlaps(connection: Connection, table: str, held: str) -> None:
    """From now on, one ``held`` (a column) serves one row of a day's current plan at a time."""
    for statement in _OVERLAP[connection.dialect.name](table, held):
        connection.exec_driver_sql(statement)


def refuse_changes(connection: Connection, table: str) -> None:
    """From now on, rows of the table are only added."""
    for statement in _APPEND_ONLY[connection.dialect.name](table):
        connection.exec_driver_sql(statement)


@contextmanager
def changes_allowed(connection: Connection, table: str) -> Iterator[None]:
    """In this transaction and within the block, rows of the table may be altered; nobody else sees it otherwise."""
    for statement in _LIFT[connection.dialect.name](table):
        connection.exec_driver_sql(statement)
    yield
    refuse_changes(connection, table)


def exchange_check(connection: Connection, table: str, name: str, old: str, new: str) -> None:
    """Let the table's check of the name say ``new`` from now on and no longer ``old``. Rows stay; what guards the table
    is lifted before."""
    _EXCHANGE[connection.dialect.name](connection, table, name, old, new)
