"""The tables: what migrations make is what the models say, on both databases; what SQLite is told; what is refused."""

from datetime import UTC, date, datetime

import pytest
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext
from sqlalchemy import event, text
from sqlalchemy.exc import DBAPIError
from sqlmodel import SQLModel, col, select

from app.db.store import Store
from app.errors import StoreError
from app.models import Absence, Audit, Closure, Staff
from app.queries.clinics import the_clinic
from tests.house.source import kept_modules


def test_migrations_make_what_the_models_say(store: Store) -> None:
    with store.engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, SQLModel.metadata) == []


def test_every_model_file_has_a_table() -> None:
    files = {path.rsplit("/", 1)[-1].removesuffix(".py") for path in kept_modules("app") if "/models/" in path}
    mapped = {mapper.class_.__module__.rsplit(".", 1)[-1] for mapper in SQLModel._sa_registry.mappers}
    assert files - {"__init__", "columns"} == mapped & files


@pytest.mark.parametrize(
    ("pragma", "value"), [("foreign_keys", 1), ("journal_mode", "wal"), ("synchronous", 2), ("busy_timeout", 30_000)]
)
def test_sqlite_is_told(file_store: Store, pragma: str, value: object) -> None:
    with file_store.engine.connect() as connection:
        assert connection.exec_driver_sql(f"PRAGMA {pragma}").scalar_one() == value


def test_sqlite_takes_the_write_lock_at_the_begin_of_a_write_and_only_then(file_store: Store) -> None:
    """What reaches the file is asked of the driver itself, not of what SQLAlchemy says it does."""
    seen: list[str] = []
    file_store.close()  # so that the next connection is a new one

    @event.listens_for(file_store.engine, "connect")
    def _trace(connection: object, _record: object) -> None:
        connection.set_trace_callback(seen.append)  # type: ignore[attr-defined]

    with file_store.writing() as session:
        the_clinic(session)
    with file_store.reading() as session:
        the_clinic(session)
    begins = [statement for statement in seen if statement.startswith("BEGIN")]
    assert begins == ["BEGIN IMMEDIATE", "BEGIN"]
    kinds = [statement.split()[0] for statement in seen if statement.split()[0] in ("BEGIN", "SELECT", "COMMIT")]
    assert kinds[:3] == ["BEGIN", "SELECT", "COMMIT"]


def test_a_second_writer_waits_and_a_reader_does_not(file_store: Store) -> None:
    with file_store.writing() as session:
        the_clinic(session)
        with file_store.reading() as reader:
            assert the_clinic(reader).name == "Test clinic"
        other = file_store.engine.connect().execution_options(**file_store.writing_options)
        with other as connection:
            driver = connection.connection.driver_connection
            assert driver is not None
            driver.execute("PRAGMA busy_timeout = 0")
            with pytest.raises(DBAPIError, match="locked"):
                connection.begin()


@pytest.mark.parametrize("statement", ["UPDATE audit SET actor = 'x'", "DELETE FROM audit"])
def test_the_audit_is_only_added_to(store: Store, statement: str) -> None:
    with pytest.raises(StoreError, match="rows of audit are only added"), store.writing() as session:
        session.connection().execute(text(statement))
    with store.reading() as session:
        assert [row.actor for row in session.exec(select(Audit))] == ["channelday init"]


def test_a_row_that_refers_to_nothing_is_refused(store: Store) -> None:
    with pytest.raises(StoreError, match=r"(?i)foreign key"), store.writing() as session:
        session.add(Closure(clinic_id=999, date=date(2031, 3, 4)))


def test_an_instant_comes_back_in_utc_whatever_zone_it_went_in_with(store: Store) -> None:
    went = datetime.fromisoformat("2031-03-04T09:00:00+02:00")
    with store.writing() as session:
        clinic = the_clinic(session)
        member = Staff(clinic_id=clinic.id or 0, code="T1")
        session.add(member)
        session.flush()
        session.add(Absence(staff_id=member.id or 0, starts_at=went, ends_at=datetime(2031, 3, 4, 8, tzinfo=UTC)))
    with store.reading() as session:
        came = session.exec(select(Absence).where(col(Absence.starts_at) == went)).one().starts_at
    assert (came, came.tzinfo) == (went, UTC)


def test_an_instant_without_a_zone_is_refused(store: Store) -> None:
    bare = datetime(2031, 3, 4, 9)
    with pytest.raises(Exception, match="an instant needs a time zone"), store.writing() as session:
        session.add(Absence(staff_id=1, starts_at=bare, ends_at=bare))
