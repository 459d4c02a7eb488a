"""What the tables share: their base, kinds of columns, and checks.

Times are of two kinds. An instant (when something was saved, happened, begins to be out of service) is stored in UTC
and comes back with UTC as its zone; the clinic's time zone is a column of the clinic, and of each of its days. What
belongs to a day's plan (hours, starts, breaks) is stored as whole minutes of that day's local clock, from 0 to 1440,
beside the local date: that is what patients are told, and it stays right where clocks change or a zone's rules do.
``app.clock`` turns one into the other.
"""

import re
from datetime import UTC, datetime

from sqlalchemy import JSON, CheckConstraint, DateTime, Dialect
from sqlalchemy.orm import declared_attr
from sqlalchemy.types import TypeDecorator
from sqlmodel import SQLModel

from solver.clock import DAY_MIN

SQLModel.metadata.naming_convention = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s",
    "pk": "pk_%(table_name)s",
}


class Table(SQLModel):
    """Base of every table: ``UnitVersion`` is the table ``unit_version``."""

    @declared_attr.directive
    def __tablename__(cls) -> str:  # noqa: N805 - a class, as every declared_attr gets it
        return re.sub(r"(?<=[a-z])(?=[A-Z])", "_", cls.__name__).lower()


class JsonValue(TypeDecorator[object]):
    """A list or an object of plain values with nothing to refer to; None is NULL. Keys keep their order."""

    impl = JSON(none_as_null=True)
    cache_ok = True


class Instant(TypeDecorator[datetime]):
    """A moment in UTC. Raises ValueError for a datetime without a zone."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        if value is not None and value.tzinfo is None:
            raise ValueError("an instant needs a time zone")
        return None if value is None else value.astimezone(UTC)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


def now() -> datetime:
    return datetime.now(UTC)


def span_check(start: str = "start_min", end: str = "end_min") -> CheckConstraint:
    """An interval of local minutes of one day, with its end after its start."""
    return CheckConstraint(f"{start} >= 0 AND {end} > {start} AND {end} <= {DAY_MIN}", name=f"{start}_{end}")


def least_check(column: str, least: int = 0) -> CheckConstraint:
    return CheckConstraint(f"{column} >= {least}", name=column)


def percent_check(column: str) -> CheckConstraint:
    return CheckConstraint(f"{column} BETWEEN 0 AND 100", name=column)


def one_of_check(column: str, *values: str) -> CheckConstraint:
    listed = ", ".join(f"'{value}'" for value in values)
    return CheckConstraint(f"{column} IN ({listed})", name=column)


def weekday_check() -> CheckConstraint:
    """0 is Monday, as ``date.weekday`` counts."""
    return CheckConstraint("weekday BETWEEN 0 AND 6", name="weekday")
