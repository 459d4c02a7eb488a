"""All that holds for SQLite only: how a file is opened, written, copied, checked, guarded, and what its errors mean."""

import os
import sqlite3
import zlib
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.engine.interfaces import DBAPIConnection
from sqlalchemy.pool import ConnectionPoolEntry

from app.db.scratch import BESIDE, scratch
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


_BACKUP = 0x43446261
"""In the header of each backup, as SQLite's application id: which files are backups and may be removed as such."""


def copy_file(source: Path, target: Path) -> None:
    """A consistent copy for its owner only, also while others write; there whole under its name, or not at all."""
    with _whole(target) as part:
        copy_pages(source, part)


def write_backup(source: Path, target: Path) -> None:
    """The same, marked as a backup of this file, and checked. Raises StoreError where it is damaged."""
    with _whole(target) as part:
        copy_pages(source, part)
        with closing(sqlite3.connect(part)) as file:
            file.execute(f"PRAGMA application_id = {_BACKUP}")
            file.execute(f"PRAGMA user_version = {_mark_of(source)}")
        faults = faults_in(part)
        if faults:
            right = "nothing was kept; see: channelday check"
            raise StoreError(str(source), f"its copy is damaged ({faults[0]})", right)


def is_backup_of(source: Path, file: Path) -> bool:
    """True for what ``write_backup`` made of the database at this path, by the two numbers of the file's header."""
    try:
        with file.open("rb") as opened:
            header = opened.read(72)
    except OSError:
        return False
    return header[60:64] == _mark_of(source).to_bytes(4, "big") and header[68:] == _BACKUP.to_bytes(4, "big")


def _mark_of(source: Path) -> int:
    """A number for the path, so that backups of two clinics in one folder do not push each other out."""
    return zlib.crc32(os.fsencode(source.resolve())) >> 1


def copy_pages(source: Path, target: Path) -> None:
    """Fill the target with the source's pages, as one transaction sees them. It is one file then, with none beside."""
    # A copy may lie where nothing can be made beside it; without a journal it has all that it needs within itself.
    alone = not any(source.with_name(f"{source.name}{beside}").exists() for beside in BESIDE)
    mode = "mode=ro&immutable=1" if alone and not os.access(source.parent, os.W_OK) else "mode=rw"
    address = f"{source.resolve().as_uri()}?{mode}"
    try:
        with closing(sqlite3.connect(address, uri=True)) as old, closing(sqlite3.connect(target)) as new:
            old.execute(f"PRAGMA busy_timeout = {BUSY_MS}")
            old.execute("PRAGMA schema_version").fetchone()
            old.backup(new)
            new.execute("PRAGMA journal_mode = DELETE").fetchone()
    except sqlite3.Error as error:
        what, right = meaning(error) or (f"it cannot be copied ({error})", "see that there is room for a copy")
        raise StoreError(str(source), what, right) from None


@contextmanager
def _whole(target: Path) -> Iterator[Path]:
    """A new file to fill, for its owner only. It gets the target's name at the end, on the disk for good, or never."""
    try:
        with scratch(target) as part:
            yield part
            _to_disk(part)
            part.replace(target)
            _to_disk(target.parent)
    except OSError as error:
        right = "see that its folder may be written and has room"
        raise StoreError(
            str(target), f"it cannot be written ({(error.strerror or 'it failed').lower()})", right
        ) from None


def _to_disk(path: Path) -> None:
    descriptor = os.open(path, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def put_in_place(new: Path, path: Path, kept: Path) -> Path | None:
    """Make what ``new`` holds what the file holds; where the old is kept, which is ``kept`` if there was any.

    Raises StoreError, with nothing changed, where anybody else has the file open: whoever has opened it keeps a shared
    lock on it until they close it, and this takes the exclusive one, and holds it until the new content is there. The
    new content is written into the file itself, in one transaction, so that nobody is left with a file that is gone.
    """
    try:
        if path.exists():
            return _written_into(new, path, kept)
    except sqlite3.Error as error:
        if "file is not a database" not in str(error):
            what, right = meaning(error) or (f"it cannot be written ({error})", "nothing was changed")
            if "locked" in str(error):
                what, right = "another process has it open", "end that first, such as a server; nothing was changed"
            raise StoreError(str(path), what, right) from None
    # There is none, or nobody can have it open as a database. What lies beside it would be taken for the new one's.
    old = [end for end in ("", *BESIDE) if path.with_name(f"{path.name}{end}").exists()]
    for end in old:
        path.with_name(f"{path.name}{end}").replace(kept.with_name(f"{kept.name}{end}"))
    with _whole(path) as part:
        copy_pages(new, part)
    return kept if "" in old else None


def _written_into(new: Path, path: Path, kept: Path) -> Path | None:
    with closing(sqlite3.connect(path, timeout=0, isolation_level=None)) as file:
        file.execute("PRAGMA locking_mode = EXCLUSIVE").fetchone()
        was_there = file.execute("PRAGMA page_count").fetchone() != (0,)
        file.execute("PRAGMA journal_mode = DELETE").fetchone()
        file.execute("BEGIN EXCLUSIVE")
        file.execute("COMMIT")
        if was_there:
            with _whole(kept) as part, closing(sqlite3.connect(part)) as copy:
                file.backup(copy)
        with closing(sqlite3.connect(new)) as source:
            source.backup(file)
    return kept if was_there else None


def faults_in(path: Path) -> list[str]:
    """What is damaged in the file, a line each. Raises StoreError where it cannot be read as a database at all."""
    try:
        with closing(sqlite3.connect(f"{path.resolve().as_uri()}?mode=rw", uri=True)) as file:
            file.execute(f"PRAGMA busy_timeout = {BUSY_MS}")
            said = [line for (text,) in file.execute("PRAGMA integrity_check") for line in text.splitlines()]
            faults = [f"integrity: {line}" for line in said if line != "ok" and not line.startswith("***")]
            broken = file.execute("PRAGMA foreign_key_check").fetchall()
            return faults + [
                f"references: {of} {row} names a row of {to} that is not there" for of, row, to, _ in broken
            ]
    except sqlite3.Error as error:
        if "malformed" in str(error):
            return [f"integrity: {error}"]
        what, right = meaning(error) or (f"it cannot be checked ({error})", "see that it may be read and written")
        raise StoreError(str(path), what, right) from None


def erase_old_rows(path: Path) -> None:
    """Make the file anew of what is in it now, so that no free page, and no journal, holds what was there before.

    Raises StoreError where others keep old pages in use for too long, or there is no room for it.
    """
    try:
        with closing(sqlite3.connect(path, timeout=BUSY_MS / 1000, isolation_level=None)) as file:
            file.execute("VACUUM")
            (busy, *_) = file.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
            if busy:
                raise sqlite3.OperationalError("database is locked")
    except sqlite3.Error as error:
        what, right = meaning(error) or (f"it cannot be made anew ({error})", "try again")
        raise StoreError(str(path), what, right) from None


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


def lift_append_only(table: str) -> Iterator[str]:
    """Statements after which rows can be altered, until ``append_only_guard`` is given again."""
    for when in ("UPDATE", "DELETE"):
        yield f"DROP TRIGGER append_only_{table}_{when.lower()}"


def exchange_check(connection: Connection, table: str, _name: str, old: str, new: str) -> None:
    """Make the table, which refers to itself, and its indexes anew: a copy beside it holds the rows meanwhile."""
    made_by = "SELECT sql FROM sqlite_master WHERE tbl_name = ? AND type IN ('table', 'index') AND sql IS NOT NULL"
    statements = list(connection.exec_driver_sql(f"{made_by} ORDER BY type DESC", (table,)).scalars())
    connection.exec_driver_sql(f"CREATE TEMP TABLE kept_rows AS SELECT * FROM {table}")
    connection.exec_driver_sql(f"DROP TABLE {table}")
    for statement in statements:
        connection.exec_driver_sql(statement.replace(old, new))
    connection.exec_driver_sql(f"INSERT INTO {table} SELECT * FROM kept_rows ORDER BY id")
    connection.exec_driver_sql("DROP TABLE kept_rows")
