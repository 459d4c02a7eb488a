"""All that holds for PostgreSQL only: how a database is opened, checked, guarded, and what its errors mean."""

from collections.abc import Iterable, Iterator

from sqlalchemy import URL, Connection, Engine, create_engine

DRIVER = "postgresql+psycopg"
WRITING: dict[str, str] = {}
"""Execution options of a connection that is about to write: each of its reads sees the latest, once it has the lock."""
READING = {"isolation_level": "REPEATABLE READ"}
"""Execution options of one that reads: it sees one state of the database."""


def open_address(address: URL) -> Engine:
    """An engine on the database. Raises ImportError where the driver is not installed."""
    return create_engine(address.set(drivername=DRIVER), pool_pre_ping=True)


_MEANINGS: tuple[tuple[str, str, str], ...] = (
    ("connection refused", "no server answers there", "start the server, or give its right address"),
    ("could not translate host name", "there is no such host", "give the right address"),
    ("authentication failed", "the server refuses the user or the password", "give the right ones"),
    ("does not exist", "the server has no such database, user or table", "make it first"),
    ("permission denied", "the user may not do that", "allow it to"),
    ("read-only transaction", "it may be read but not written", "name the server that takes changes"),
    ("No space left on device", "the server's disk is full", "make room and try again; nothing was changed"),
)


def meaning(error: BaseException) -> tuple[str, str] | None:
    """What an error of the driver means and what would help; None where it is not known."""
    said = str(error)
    return next(((what, right) for words, what, right in _MEANINGS if words in said), None)


_FAULTS = (
    "SELECT 'checksums: ' || checksum_failures || ' pages failed' FROM pg_stat_database "
    "WHERE datname = current_database() AND checksum_failures > 0",
    "SELECT 'index: ' || indexrelid::regclass || ' is not valid' FROM pg_index WHERE NOT indisvalid",
    "SELECT 'constraint: ' || conname || ' was never checked' FROM pg_constraint WHERE NOT convalidated",
    "SELECT 'guard: ' || tgname || ' of ' || tgrelid::regclass || ' is switched off' FROM pg_trigger "
    "WHERE tgenabled = 'D'",
)


def faults_in(engine: Engine) -> list[str]:
    """What the server itself knows to be wrong, a line each; there is no check of everything that any user may run."""
    with engine.connect() as connection:
        return [line for query in _FAULTS for line in connection.exec_driver_sql(query).scalars()]


def erase_old_rows(engine: Engine, tables: Iterable[str]) -> None:
    """Make the files of the tables anew of the rows that they have now."""
    with engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
        connection.exec_driver_sql(f"VACUUM (FULL) {', '.join(tables)}")


def overlap_guard(table: str, held: str) -> Iterator[str]:
    """Statements that make the database refuse two rows of current plans of a day that hold one thing at once."""
    yield "CREATE EXTENSION IF NOT EXISTS btree_gist"
    yield (
        f"ALTER TABLE {table} ADD CONSTRAINT overlap_{table} EXCLUDE USING gist "
        f"(day_id WITH =, {held} WITH =, int4range(start_min, end_min) WITH &&) WHERE (is_current)"
    )


def append_only_guard(table: str) -> Iterator[str]:
    """Statements that make the database refuse to alter or remove a row."""
    yield (
        f"CREATE FUNCTION append_only_{table}() RETURNS trigger LANGUAGE plpgsql AS "
        f"$$ BEGIN RAISE EXCEPTION 'rows of {table} are only added'; END $$"
    )
    yield (
        f"CREATE TRIGGER append_only_{table} BEFORE UPDATE OR DELETE OR TRUNCATE ON {table} "
        f"EXECUTE FUNCTION append_only_{table}()"
    )


def lift_append_only(table: str) -> Iterator[str]:
    """Statements after which rows can be altered, until ``append_only_guard`` is given again."""
    yield f"DROP TRIGGER append_only_{table} ON {table}"
    yield f"DROP FUNCTION append_only_{table}()"


def exchange_check(connection: Connection, table: str, name: str, _old: str, new: str) -> None:
    connection.exec_driver_sql(f"ALTER TABLE {table} DROP CONSTRAINT {name}, ADD CONSTRAINT {name} CHECK ({new})")
