"""Which version of a thing the clinic has set up now."""

from typing import Any

from sqlalchemy import Select, func, select


def current_version_ids(head: Any, version: Any, key: str) -> Select[tuple[int]]:
    """The ids of the versions that hold: the one that the clinic has set up, which may be an older one that a thing was
    set back to; else the newest, for what only came with day files. ``key``: the version's column of the thing."""
    of = getattr(version, key)
    newest = select(of.label("of"), func.max(version.version).label("number")).group_by(of).subquery()
    return (
        select(version.id)
        .join(head, head.id == of)
        .join(newest, newest.c.of == head.id)
        .where(version.version == func.coalesce(head.current_version, newest.c.number))
    )
