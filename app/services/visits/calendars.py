"""Calendar files (RFC 5545): one visit, or all that a staff member has. They name no patient and no treatment."""

import datetime
from collections.abc import Iterable
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from icalendar import Calendar, Event

from app.clock import instant_of
from app.db.store import Store
from app.models import SavedPlan
from app.models.columns import now
from app.queries.clinics import the_clinic
from app.queries.feed_rows import Had, Where, plans_in_use, visits_had, where_placed
from app.queries.feeds import staff_of_feed
from app.queries.visit_life import Life, lives
from app.services.tokens import hash_of_token
from app.services.visits.about import AboutVisit, about_visit, uid_of
from app.services.visits.steps import FREE_MINUTES
from solver.clock import Interval

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
    """What the staff member has from a month ago on; None where the address works no longer, or never did.

    What they had in any plan of those days and have no longer, be it cancelled, taken out, left out or another's, is
    there as cancelled: whoever has their calendar may have it from then.
    """
    with store.reading() as session:
        clinic = the_clinic(session)
        member = staff_of_feed(session, clinic.id or 0, hash_of_token(token))
        if member is None:
            return None
        since = (today or now().astimezone(ZoneInfo(clinic.time_zone)).date()) - BACK
        had = visits_had(session, clinic.id or 0, member, since)
        plans = plans_in_use(session, {one.row.day_id for one in had})
        where, life = where_placed(session, had), lives(session, {one.first_id for one in had})
        key = clinic.calendar_key
        return written(_had(one, where[one.first_id], life[one.first_id], plans[one.row.day_id], key) for one in had)


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


def _entry(visit: AboutVisit, title: str, when: Interval, where: str) -> Entry:
    cancelled = visit.status in FREE_MINUTES
    return Entry(visit.uid, title, where, visit.date, when, visit.zone, cancelled, visit.saved_at, visit.edition)


def _had(had: Had, where: Where, life: Life, plan: SavedPlan, key: str) -> Entry:
    row, history = life.on(had.row.day_id)
    is_lost = had.plan_id != plan.id or (bool(history) and history[-1].status in FREE_MINUTES)
    return Entry(
        uid=uid_of(had.first_id, key),
        title=f"Visit {row.id}",
        where=f"{where.unit}, {where.place}, bay {where.bay}",
        date=had.day.date,
        when=Interval(where.start, where.end),
        zone=ZoneInfo(had.day.time_zone),
        is_cancelled=is_lost,
        changed=max([plan.saved_at, *(step.at for step in life.steps)]),
        edition=life.edition,
    )
