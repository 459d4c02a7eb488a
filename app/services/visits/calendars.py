"""Calendar files (RFC 5545): one visit, or all that a staff member has. They name no patient and no treatment."""

import datetime
from collections.abc import Iterable
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from icalendar import Calendar, Event

from app.clock import instant_of
from app.db.store import Store
from app.models.columns import now
from app.queries.clinics import the_clinic
from app.queries.days import day_rows_from
from app.queries.feeds import staff_of_feed
from app.queries.visit_life import KnownVisit, known_visit, row_ids, visits_with_status
from app.services.days import kept
from app.services.tokens import hash_of_token
from app.services.visits.about import AboutVisit, about, about_visit
from app.services.visits.steps import FREE_MINUTES
from app.services.visits.taken_out import taken_out
from solver.clock import Interval
from solver.schedule import PlacedVisit

BACK = datetime.timedelta(days=31)
"""How far back a feed goes."""


@dataclass(frozen=True, slots=True)
class Entry:
    """``when``: minutes of the date by the zone's clock, half-open."""

    uid: str
    title: str
    where: str
    date: datetime.date
    when: Interval
    zone: ZoneInfo
    is_cancelled: bool
    changed: datetime.datetime
    edition: int


def visit_calendar(store: Store, visit_id: int) -> bytes | None:
    """The visit's file; None where there is no such visit, or where it has no time."""
    visit = about_visit(store, visit_id)
    if visit is None or visit.held is None:
        return None
    return written([_entry(visit, f"Appointment at {visit.clinic}", visit.held.when, visit.clinic)])


def feed(store: Store, token: str, *, today: datetime.date | None = None) -> bytes | None:
    """What the staff member has from a month ago on; None where the address works no longer, or never did."""
    with store.reading() as session:
        clinic = the_clinic(session)
        member = staff_of_feed(session, clinic.id or 0, hash_of_token(token))
        if member is None:
            return None
        since = (today or now().astimezone(ZoneInfo(clinic.time_zone)).date()) - BACK
        entries = []
        for row in day_rows_from(session, clinic.id or 0, since):
            present = kept(session, row)
            ids = row_ids(session, clinic.id or 0, row.date)
            for placed in present.plan.visits if present.plan is not None else ():
                known = known_visit(session, clinic.id or 0, ids[placed.id]) if _has(placed, member) else None
                if known is not None:
                    entries.append(_of_visit(about(session, clinic, known, present)))
            gone = [known for known in visits_with_status(session, row.id or 0, FREE_MINUTES) if _had(known, member)]
            entries += [_of_visit(about(session, clinic, known, present)) for known in gone]
        return written(entry for entry in entries if entry is not None)


def written(entries: Iterable[Entry]) -> bytes:
    """The file of these entries (RFC 5545, sections 3.4 and 3.6)."""
    calendar = Calendar()
    calendar.add("prodid", "-//Channelday//EN")
    calendar.add("version", "2.0")
    for entry in entries:
        event = Event()
        event.add("uid", entry.uid)
        event.add("dtstamp", entry.changed)
        event.add("dtstart", instant_of(entry.date, entry.when.start, entry.zone))
        event.add("dtend", instant_of(entry.date, entry.when.end, entry.zone))
        event.add("summary", entry.title)
        event.add("location", entry.where)
        event.add("sequence", entry.edition)
        event.add("status", "CANCELLED" if entry.is_cancelled else "CONFIRMED")
        calendar.add_component(event)
    return bytes(calendar.to_ical())


def _of_visit(visit: AboutVisit) -> Entry | None:
    if visit.held is None:
        return None
    return _entry(visit, f"Visit {visit.id}", visit.held.when, visit.held.where)


def _entry(visit: AboutVisit, title: str, when: Interval, where: str) -> Entry:
    cancelled = visit.status in FREE_MINUTES
    return Entry(visit.uid, title, where, visit.date, when, visit.zone, cancelled, visit.saved_at, visit.edition)


def _had(known: KnownVisit, member: str) -> bool:
    before = taken_out(known)
    return before is not None and before.placed is not None and _has(before.placed, member)


def _has(placed: PlacedVisit, member: str) -> bool:
    return any(member in part.hands for part in placed.parts)
