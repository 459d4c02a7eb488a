"""Making a database, and bringing an old one up to what this program needs."""

from functools import cache
from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from alembic.util import CommandError
from sqlalchemy.exc import DBAPIError

from app.db import sqlite
from app.db.store import Store
from app.errors import StoreError

MIGRATIONS = Path(__file__).resolve().parents[1] / "migrations"


def newest() -> str:
    """The revision that this program needs."""
    head = _steps().get_current_head()
    assert head is not None
    return head


def revision_of(store: Store) -> str | None:
    """The revision the database is at; None where it is empty. Raises StoreError where it cannot be read."""
    if store.path is not None and not store.path.exists():
        raise StoreError(store.name, "there is no such file", "make one with: channelday init")
    try:
        with store.engine.connect() as connection:
            return MigrationContext.configure(connection).get_current_revision()
    except DBAPIError as error:
        raise store.fault_of(error) from None


def check_newest(store: Store) -> None:
    """Raises StoreError where the database is not what this program needs."""
    revision = revision_of(store)
    if revision is None:
        raise StoreError(store.name, "it holds no clinic", "make one with: channelday init")
    if revision != newest():
        check_known(store, revision)
        raise StoreError(store.name, "it is from an older Channelday", "bring it up to date with: channelday upgrade")


def migrate(store: Store, revision: str = "head") -> None:
    """Bring the database to the revision, in one transaction. Raises StoreError, with nothing changed."""
    config = _config()
    try:
        with store.engine.connect().execution_options(**store.writing_options) as connection, connection.begin():
            config.attributes["connection"] = connection
            command.upgrade(config, revision)
    except DBAPIError as error:
        raise store.fault_of(error) from None


def copy_beside(store: Store, revision: str) -> Path | None:
    """A copy of the file, named after the revision it is at; None on a server, where there is no file."""
    if store.path is None:
        return None
    wanted = store.path.with_name(f"{store.path.name}.before-{newest()}-at-{revision}")
    target, n = wanted, 1
    while target.exists():
        n += 1
        target = wanted.with_name(f"{wanted.name}-{n}")
    sqlite.copy_file(store.path, target)
    return target


def check_known(store: Store, revision: str) -> None:
    """Raises StoreError where this program has no such revision."""
    try:
        _steps().get_revision(revision)
    except CommandError:
        right = "use the Channelday that it was last used with, or a newer one"
        raise StoreError(store.name, "it is from a newer Channelday", right) from None


@cache
def _steps() -> ScriptDirectory:
    return ScriptDirectory.from_config(_config())


def _config() -> Config:
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    return config
