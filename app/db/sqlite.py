"""All that holds for SQLite only: how a file is opened, written, copied, guarded, and what its errors mean."""

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.engine.interfaces import DBAPIConnection
from sqlalchemy.pool import ConnectionPoolEntry

from app.errors import StoreError

BUSY_MS = 30_000
_WRITE = "channelday_write"
WRITING = {_WRITE: True}
"""Execution options of a connection that is about to write: it takes the write lock when it begins."""
READING: dict[str, bool] = {}
"""Execution options of one that reads: it sees one state of the file from its first read on."""


def open_file(path: Path) -> Engine:
    """An engine on the file. Whoever writes takes the write lock first, so that what they read stays true."""
    engine = create_engine(f"sqlite:///{path}", connect_args={"timeout": BUSY_MS / 1000})
    event.listen(engine, "connect", _on_connect)
    event.listen(engine, "begin", _on_begin)
    return engine


def _on_connect(connection: DBAPIConnection, _record: ConnectionPoolEntry) -> None:
    # The driver must begin no transactions of its own: its plain BEGIN would come too late, and without the lock.
    connection.isolation_level = None
    cursor = connection.cursor()
    try:
        cursor.execute(f"PRAGMA busy_timeout = {BUSY_MS}")
        cursor.execute("PRAGMA foreign_keys = ON")
        cursor.execute("PRAGMA journal_mode = WAL")
        cursor.execute("PRAGMA synchronous = FULL")
    finally:
        cursor.close()


def _on_begin(connection: Connection) -> None:
    writes = connection.get_execution_options().get(_WRITE, False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def copy_file(source: Path, target: Path) -> None:
    """A consistent copy, also while others write; there whole under its name, or not at all."""
    part = target.with_name(f"{target.name}.part")
    try:
        with closing(sqlite3.connect(source)) as old, closing(sqlite3.connect(part)) as new:
            old.backup(new)
        part.replace(target)
    except (sqlite3.Error, OSError) as error:
        part.unlink(missing_ok=True)
        what, right = meaning(error) or (f"it cannot be copied ({error})", "see that there is room beside it")
        raise StoreError(str(target), what, right) from None


@contextmanager
def new_file(path: Path) -> Iterator[Path]:
    """Where to make a database that is to be at the path: it gets its name at the end, whole, or never.

    Raises StoreError where the path is taken or cannot be written.
    """
    taken = StoreError(str(path), "there is a file of that name", "name another, or take that one away")
    if path.exists():
        raise taken
    part = path.with_name(f"{path.name}.part")
    try:
        yield part
        os.link(part, path)
    except FileExistsError:
        raise taken from None
    except OSError as error:
        right = "see that the folder is there and may be written"
        raise StoreError(str(path), f"it cannot be made ({(error.strerror or 'it failed').lower()})", right) from None
    finally:
        for beside in ("", "-wal", "-shm", "-journal"):
            part.with_name(f"{part.name}{beside}").unlink(missing_ok=True)


_MEANINGS: tuple[tuple[str, str, str], ...] = (
    ("readonly database", "the file may be read but not written", "allow writing to it and to its folder"),
    ("database or disk is full", "the disk is full", "make room and try again; nothing was changed"),
    ("disk I/O error", "it cannot be written, perhaps because the disk is full", "make room; nothing was changed"),
    ("database is locked", "others kept it locked for too long", "try again"),
    ("unable to open database file", "it cannot be opened", "see that the folder is there and may be written"),
    ("file is not a database", "the file is no database of Channelday", "name another file"),
    ("malformed", "the file is damaged", "put back a copy of it"),
)


def meaning(error: BaseException) -> tuple[str, str] | None:
    """What an error of the driver means and what would help; None where it is not known."""
    said = str(error)
    return next(((what, right) for words, what, right in _MEANINGS if words in said), None)


def overlap_guard(table: str, held: str) -> Iterator[str]:
    """Statements that make the database refuse two rows of current plans of a day that hold one thing at once."""
    clash = (
        f"SELECT 1 FROM {table} AS other WHERE other.day_id = NEW.day_id AND other.{held} = NEW.{held} "
        f"AND other.is_current AND other.rowid <> NEW.rowid "
        f"AND other.start_min < NEW.end_min AND NEW.start_min < other.end_min"
    )
    refuse = f"SELECT RAISE(ABORT, 'overlap in {table}') WHERE NEW.is_current AND EXISTS ({clash})"
    for when in ("INSERT", "UPDATE"):
        yield f"CREATE TRIGGER overlap_{table}_{when.lower()} AFTER {when} ON {table} BEGIN {refuse}; END"


def append_only_guard(table: str) -> Iterator[str]:
    """Statements that make the database refuse to alter or remove a row."""
    for when in ("UPDATE", "DELETE"):
        yield (
            f"CREATE TRIGGER append_only_{table}_{when.lower()} BEFORE {when} ON {table} "
            f"BEGIN SELECT RAISE(ABORT, 'rows of {table} are only added'); END"
        )
