"""Indexes over some of a table's rows, written once for both databases."""

from typing import Any

from sqlalchemy import text


def only_where(condition: str) -> dict[str, Any]:
    """What an ``Index`` is given to be of the rows for which the condition holds."""
    return {"sqlite_where": text(condition), "postgresql_where": text(condition)}
