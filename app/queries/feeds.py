"""Secret addresses of calendars: made, listed, ended, and whose one is."""

from sqlmodel import Session, col, select

from app.models import CalendarFeed, Staff


def staff_of_feed(session: Session, clinic_id: int, token_hash: str) -> str | None:
    """The code of the staff member whose address has the secret; None where it does not work."""
    query = select(Staff.code).join(CalendarFeed, col(CalendarFeed.staff_id) == Staff.id)
    query = query.where(Staff.clinic_id == clinic_id, CalendarFeed.token_hash == token_hash)
    return session.exec(query.where(col(CalendarFeed.ended_at).is_(None))).first()


def working_feeds(session: Session, clinic_id: int) -> list[tuple[CalendarFeed, str]]:
    """Those that work, with the code of whose each is, by when they were made."""
    query = select(CalendarFeed, Staff.code).join(Staff, col(Staff.id) == CalendarFeed.staff_id)
    query = query.where(Staff.clinic_id == clinic_id, col(CalendarFeed.ended_at).is_(None))
    return list(session.exec(query.order_by(col(CalendarFeed.id))).all())


def feed_row(session: Session, clinic_id: int, feed_id: int) -> tuple[CalendarFeed, str] | None:
    return next(((row, code) for row, code in working_feeds(session, clinic_id) if row.id == feed_id), None)
