"""Events of the Floor: added, and read in the order in which they were accepted."""

import datetime

from sqlalchemy import func
from sqlmodel import Session, col, select

from app.models import BookedVisit, ClinicDay, LiveEvent, VisitStatus


def events_of_day(session: Session, day_id: int) -> list[tuple[LiveEvent, str | None]]:
    """Each event of the day with the code of its visit, in the order of acceptance.

    What happened to a visit that left the day is not among them where another has its code by now.
    """
    there = select(BookedVisit).where(BookedVisit.day_id == day_id, col(BookedVisit.is_removed).is_(False))
    first_ids = {row.code: row.first_id or row.id for row in session.exec(there)}
    query = select(LiveEvent, BookedVisit).join(BookedVisit, col(BookedVisit.id) == LiveEvent.visit_id, isouter=True)
    found: list[tuple[LiveEvent, str | None]] = []
    for event, visit in session.exec(query.where(LiveEvent.day_id == day_id).order_by(col(LiveEvent.id))):
        if visit is None or first_ids.get(visit.code) in (None, visit.first_id or visit.id):
            found.append((event, None if visit is None else visit.code))
    return found


def events_of_things(session: Session, clinic_id: int, since: datetime.date, before: datetime.date) -> list[LiveEvent]:
    """The events of no visit, of the days from ``since`` on and before ``before``, in the order of acceptance."""
    query = select(LiveEvent).join(ClinicDay, col(ClinicDay.id) == LiveEvent.day_id)
    query = query.where(ClinicDay.clinic_id == clinic_id, col(LiveEvent.visit_id).is_(None))
    query = query.where(ClinicDay.date >= since, ClinicDay.date < before)
    return list(session.exec(query.order_by(col(LiveEvent.id))))


def days_run(session: Session, clinic_id: int, since: datetime.date, before: datetime.date) -> list[datetime.date]:
    """The days from ``since`` on and before ``before`` on which anything was pressed about a visit, newest first."""
    query = select(ClinicDay).join(LiveEvent, col(LiveEvent.day_id) == ClinicDay.id)
    query = query.where(ClinicDay.clinic_id == clinic_id, col(LiveEvent.visit_id).is_not(None))
    rows = session.exec(query.where(ClinicDay.date >= since, ClinicDay.date < before).distinct())
    return sorted((row.date for row in rows), reverse=True)


def event_with_key(session: Session, key: str) -> LiveEvent | None:
    return session.exec(select(LiveEvent).where(LiveEvent.key == key)).first()


def newest_step(session: Session, day_id: int) -> int:
    """The id of the newest step in the life of a visit of the day; 0 where there is none."""
    query = select(func.max(VisitStatus.id)).join(BookedVisit, col(BookedVisit.id) == VisitStatus.visit_id)
    return session.exec(query.where(BookedVisit.day_id == day_id)).one() or 0


def newest_of_all(session: Session) -> tuple[int, int]:
    """The ids of the newest event and of the newest step of a visit's life, of any day; 0 where there is none."""
    event, step = session.exec(select(func.max(LiveEvent.id))), session.exec(select(func.max(VisitStatus.id)))
    return event.one() or 0, step.one() or 0


def dates_with_more(session: Session, clinic_id: int, event_id: int, step_id: int) -> set[datetime.date]:
    """The dates of the days that have events after that one, or visits with steps after that one."""
    ours = select(ClinicDay).where(ClinicDay.clinic_id == clinic_id)
    events = ours.join(LiveEvent, col(LiveEvent.day_id) == ClinicDay.id).where(col(LiveEvent.id) > event_id)
    steps = ours.join(BookedVisit, col(BookedVisit.day_id) == ClinicDay.id)
    steps = steps.join(VisitStatus, col(VisitStatus.visit_id) == BookedVisit.id).where(col(VisitStatus.id) > step_id)
    return {row.date for query in (events, steps) for row in session.exec(query.distinct())}
