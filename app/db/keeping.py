"""What each kind of database does in its own way: copies, checks of itself, old content taken out of it."""

from collections.abc import Iterable
from pathlib import Path

from sqlalchemy.exc import DBAPIError

from app.db import postgresql, sqlite
from app.db.store import Store
from app.errors import StoreError


def file_of(store: Store) -> Path:
    """The file of the database. Raises StoreError where it is on a server."""
    if store.path is None:
        right = "use pg_dump to keep a copy, and pg_restore to bring it back"
        raise StoreError(store.name, "a database on a server is kept by the server's own tools", right)
    return store.path


def faults_in(store: Store) -> list[str]:
    """What the database finds wrong with itself, a line each. Raises StoreError where it cannot be read."""
    if store.path is not None:
        return sqlite.faults_in(store.path)
    try:
        return postgresql.faults_in(store.engine)
    except DBAPIError as error:
        raise store.fault_of(error) from None


def erase_old_rows(store: Store, tables: Iterable[str]) -> None:
    """Leave nothing in the database's files of what rows of the tables held before. Raises StoreError."""
    try:
        if store.path is not None:
            sqlite.erase_old_rows(store.path)
        else:
            postgresql.erase_old_rows(store.engine, tables)
    except DBAPIError as error:
        raise store.fault_of(error) from None
