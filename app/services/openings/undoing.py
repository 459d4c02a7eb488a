"""Undoing a booking: everything as it was before it, in one transaction, or nothing."""

from dataclasses import dataclass

from app.db.store import Store
from app.queries.clinics import the_clinic
from app.services.openings.booking import Booked, is_booked, present_day, refuse_if_begun, refuse_if_wrong
from app.services.openings.off_list import put_back_on
from app.services.openings.placing import without
from solver.errors import Fault, InputError


@dataclass(frozen=True, slots=True)
class Undone:
    """``version``: of the day; ``on_list``: somebody is on the waiting list again."""

    version: int
    on_list: bool


def undo(store: Store, booked: Booked, *, actor: str) -> Undone:
    """Take out again what was booked. Whoever is booked else stays where they are, and whoever was taken off the
    waiting list for it is on it again.

    Raises InputError where it is not there any more as it was booked, or where others could not stay without it.
    """
    with store.writing() as session:
        clinic = the_clinic(session, to_write=True)
        present = present_day(session, clinic, booked.date)
        if not is_booked(present, booked.placed):
            what = "the booking was changed since, or is undone already"
            raise InputError([Fault("undo", what, "look at the day, and take the visit out there")])
        refuse_if_begun(session, present, booked.placed)
        day, plan = without(present.day, present.plan, booked.placed)
        refuse_if_wrong(day, plan)
        version = present.save(session, clinic, day, plan, actor)
        waited = booked.off_list
        on_list = waited is not None and put_back_on(session, clinic, waited, booked.placed, actor)
        return Undone(version, on_list)
