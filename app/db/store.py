"""A clinic's database: opened by file name or address, and used in transactions that end whole or not at all."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import ModuleType
from typing import Any

from sqlalchemy import Engine, make_url
from sqlalchemy.exc import ArgumentError, DBAPIError
from sqlmodel import Session

from app.db import postgresql, sqlite
from app.errors import StoreError


class Store:
    """``name`` says which database it is, without a password. ``path``: its file; None on a server."""

    def __init__(self, name: str, engine: Engine, path: Path | None) -> None:
        self.name = name
        self.engine = engine
        self.path = path

    @property
    def address(self) -> str:
        """What opens it again in another process: its file's name, or its address with the password."""
        return self.engine.url.render_as_string(hide_password=False) if self.path is None else str(self.path)

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """A session that sees one state of the database and does not keep others from writing."""
        connect = self.engine.connect().execution_options(**self._room.READING)
        with self._faults_named(), connect as connection, Session(connection) as session:
            yield session

    @contextmanager
    def writing(self) -> Iterator[Session]:
        """A session that may write. All of it is kept at the end, or none where anything is raised."""
        with (
            self._faults_named(),
            self.engine.connect().execution_options(**self.writing_options) as connection,
            Session(connection, expire_on_commit=False) as session,
        ):
            yield session
            session.commit()

    @property
    def _room(self) -> ModuleType:
        """What holds for this kind of database only."""
        return postgresql if self.path is None else sqlite

    @property
    def writing_options(self) -> dict[str, Any]:
        """Execution options of a connection that is about to write."""
        return dict(self._room.WRITING)

    def close(self) -> None:
        self.engine.dispose()

    @contextmanager
    def _faults_named(self) -> Iterator[None]:
        try:
            yield
        except DBAPIError as error:
            raise self.fault_of(error) from error

    def fault_of(self, error: DBAPIError) -> StoreError:
        """The driver's error in words. A statement's values are never among them."""
        cause = error.orig or error
        known = self._room.meaning(cause)
        first_line = str(cause).strip().splitlines()[0] if str(cause).strip() else type(cause).__name__
        what, right = known or (f"it refused a statement ({first_line})", "nothing was changed")
        return StoreError(self.name, what, right)


def open_store(data: str, name: str = "") -> Store:
    """The database of a file name, or of an address that begins with ``postgresql://``. Connects to nothing yet.

    ``name`` is what a file is called in messages, where that is not its own name.
    Raises StoreError where it is no such address, or the driver for it is not installed.
    """
    if "://" not in data:
        path = Path(data)
        return Store(name or data, sqlite.open_file(path), path)
    try:
        address = make_url(data)
    except ArgumentError:
        address = None
    if address is None or address.get_backend_name() != "postgresql":
        right = "give a file name, or an address such as postgresql://user@host/database"
        raise StoreError("--data", "that address is of no database that Channelday knows", right)
    shown = address.render_as_string(hide_password=True)
    try:
        return Store(shown, postgresql.open_address(address), None)
    except ImportError:
        right = "install it with: pip install 'channelday[postgresql]'"
        raise StoreError(shown, "the driver for PostgreSQL is not installed", right) from None
