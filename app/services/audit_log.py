"""Reading the audit: who did what, when, to which record."""

import datetime
from dataclasses import dataclass
from typing import Any
from zoneinfo import ZoneInfo

from app.db.store import Store
from app.queries.audits import AuditWanted, audit_actors, audits_before
from app.queries.clinics import the_clinic

A_PAGE = 50


@dataclass(frozen=True, slots=True)
class AuditLine:
    """One row. ``at`` is the clinic's local time."""

    id: int
    at: datetime.datetime
    actor: str
    action: str
    record: str
    before: dict[str, Any]
    after: dict[str, Any]


@dataclass(frozen=True, slots=True)
class AuditPage:
    """The newest first. ``older``: the id to go on before, None at the end. ``actors``: everyone in the audit."""

    lines: tuple[AuditLine, ...]
    older: int | None
    actors: tuple[str, ...]


def audit_page(
    store: Store,
    *,
    before: int | None = None,
    actor: str = "",
    record: str = "",
    on: datetime.date | None = None,
) -> AuditPage:
    """Rows with an id below ``before``; of one actor, of records whose name has the text, of one local date."""
    with store.reading() as session:
        clinic = the_clinic(session)
        zone = ZoneInfo(clinic.time_zone)
        begins = None if on is None else datetime.datetime.combine(on, datetime.time(), zone)
        ends = None if begins is None else begins + datetime.timedelta(days=1)
        wanted = AuditWanted(before=before, actor=actor, record=record, begins=begins, ends=ends)
        rows = audits_before(session, clinic.id or 0, wanted, A_PAGE + 1)
        lines = tuple(
            AuditLine(row.id or 0, row.at.astimezone(zone), row.actor, row.action, row.record, row.before, row.after)
            for row in rows[:A_PAGE]
        )
        more = lines[-1].id if len(rows) > A_PAGE else None
        return AuditPage(lines, more, tuple(audit_actors(session, clinic.id or 0)))
