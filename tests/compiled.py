"""Statements are compiled once for all databases of a test run, and not for each test's own again."""

from typing import Any

from sqlalchemy import Connection, Dialect, Engine, event

_dialects: dict[type[Dialect], Dialect] = {}
_compiled: dict[Any, Any] = {}


def compile_once() -> None:
    """Every engine's connections share what was compiled for the first of its kind.

    SQLAlchemy keeps what it compiled with the engine and the dialect it was compiled for. An app has one of each; each
    test has its own, and would spend more time on compiling than on the database.
    """
    event.listen(Engine, "engine_connect", _share)


def _share(connection: Connection) -> None:
    connection.dialect = _dialects.setdefault(type(connection.dialect), connection.dialect)
    connection.execution_options(compiled_cache=_compiled)
