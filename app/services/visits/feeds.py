"""Secret addresses at which a staff member's calendar is read: made and ended by themselves or an administrator."""

import datetime
from dataclasses import dataclass

from sqlmodel import Session

from app.db.store import Store
from app.models import Account, CalendarFeed, Staff
from app.models.columns import now
from app.queries.accounts import account_named
from app.queries.audits import add_audit
from app.queries.clinics import the_clinic
from app.queries.codes import ids_of
from app.queries.feeds import feed_row, working_feeds
from app.queries.staff import staff_names
from app.services.tokens import hash_of_token, new_token
from solver.errors import Fault, InputError


@dataclass(frozen=True, slots=True)
class FeedLine:
    id: int
    staff: str
    made_at: datetime.datetime


def feeds_for(store: Store, actor: str) -> tuple[dict[str, str], tuple[FeedLine, ...]]:
    """Of whom the account may make addresses (names by code), and those of theirs that work."""
    with store.reading() as session:
        clinic_id = the_clinic(session).id or 0
        own = _may(session, clinic_id, actor)
        rows = working_feeds(session, clinic_id)
        lines = [FeedLine(row.id or 0, own[code], row.made_at) for row, code in rows if code in own]
        return own, tuple(lines)


def make_feed(store: Store, staff: str, *, actor: str) -> str:
    """The secret of a new address; it is shown this once. Raises InputError where the account may not."""
    with store.writing() as session:
        clinic_id = the_clinic(session, to_write=True).id or 0
        if staff not in _may(session, clinic_id, actor):
            raise InputError([Fault("staff", "this is not your calendar", "an administrator can make any")])
        token = new_token()
        member = ids_of(session, Staff, clinic_id)[staff]
        session.add(CalendarFeed(staff_id=member, token_hash=hash_of_token(token), made_at=now()))
        add_audit(session, clinic_id, actor, "made a calendar address for", f"staff {staff}")
        return token


def end_feed(store: Store, feed_id: int, *, actor: str) -> None:
    """The address works no longer. Raises InputError where there is none, or where the account may not."""
    with store.writing() as session:
        clinic_id = the_clinic(session, to_write=True).id or 0
        found = feed_row(session, clinic_id, feed_id)
        if found is None or found[1] not in _may(session, clinic_id, actor):
            raise InputError([Fault("address", "there is no such address of yours", "choose one of the list")])
        found[0].ended_at = now()
        add_audit(session, clinic_id, actor, "ended a calendar address of", f"staff {found[1]}")


def _may(session: Session, clinic_id: int, actor: str) -> dict[str, str]:
    account: Account | None = account_named(session, clinic_id, actor)
    names = staff_names(session, clinic_id)
    if account is None or account.role == "administrator":
        return names if account is not None else {}
    return {code: name for code, name in names.items() if ids_of(session, Staff, clinic_id)[code] == account.staff_id}
