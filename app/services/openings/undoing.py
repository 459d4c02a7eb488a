"""Undoing a booking: everything as it was before it, in one transaction, or nothing."""

from dataclasses import dataclass

from sqlmodel import Session

from app.db.store import Store
from app.models import Clinic
from app.queries.clinics import the_clinic
from app.services.openings.asking import Asked, Limits
from app.services.openings.booking import (
    Booked,
    Present,
    Refused,
    booked_visit,
    present_day,
    refuse_if_begun,
    refuse_if_wrong,
)
from app.services.openings.off_list import put_back_on
from app.services.placing import with_placed, without
from solver.errors import Fault, InputError
from solver.verify import verify


@dataclass(frozen=True, slots=True)
class Undone:
    """``version``: of the day; ``on_list``: somebody is on the waiting list again.

    ``to_tell``: of those who were put back, the visits whose patients know of another time.
    """

    version: int
    on_list: bool
    to_tell: tuple[str, ...]


def undo(store: Store, booked: Booked, *, actor: str) -> Undone | Refused:
    """Take out again what was booked. Whoever was moved to make room is back where they were, whoever was taken off the
    waiting list for it is on it again, and whoever is booked else stays where they are.

    Refused where somebody else has such a place by now. Raises InputError where what was booked or moved is not there
    any more as it was then, or where others could not stay without it.
    """
    with store.writing() as session:
        clinic = the_clinic(session, to_write=True)
        present = present_day(session, clinic, booked.date)
        _refuse_if_changed(present, booked)
        refuse_if_begun(session, present, booked.placed)
        new = [id for id in booked.placed if id not in booked.before]
        day, plan = without(present.day, present.plan, new)
        if booked.before:
            day, plan = with_placed(day, plan, (), booked.before, ())
            if verify(day, plan):
                return _refused(session, present, booked)
        refuse_if_wrong(day, plan)
        version = present.save(session, clinic, day, plan, actor)
        told = day.published_by_id
        to_tell = tuple(id for id, one in booked.before.items() if id in told and told[id] != one)
        return Undone(version, _put_back_on_list(session, clinic, booked, actor), to_tell)


def _refuse_if_changed(present: Present, booked: Booked) -> None:
    """Raises InputError with a line for each visit that is not where the booking placed it."""
    there = {one.id: one for one in present.plan.visits}
    changed = [id for id, one in booked.placed.items() if there.get(id) != one]
    if any(id not in booked.before for id in changed) or not set(booked.before) < set(booked.placed):
        what = "the booking was changed since, or is undone already"
        raise InputError([Fault("undo", what, "look at the day, and take the visit out there")])
    if changed:
        what = "was moved to make room, and was changed again since"
        raise InputError([Fault("undo", f"visit {id} {what}", "look at the day, and move it there") for id in changed])


def _refused(session: Session, present: Present, booked: Booked) -> Refused:
    date = booked.date
    asked = []
    for code in booked.before:
        visit, booked_with, _ = booked_visit(session, present, code)
        asked.append(Asked(visit, Limits(first=date, last=date), booked_with, own=date))
    return Refused(date, booked.version, tuple(asked), booked.before, frozenset(booked.placed))


def _put_back_on_list(session: Session, clinic: Clinic, booked: Booked, actor: str) -> bool:
    waited = booked.off_list
    return waited is not None and put_back_on(session, clinic, waited, booked.placed, actor)
