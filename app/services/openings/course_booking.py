"""Booking the sessions of a course: all in one transaction, or none."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from app.clock import Clock, wall_clock
from app.db.store import Store
from app.queries.clinics import the_clinic
from app.services.days import save_day_within
from app.services.openings.asking import Limits, Wanted, asked_within
from app.services.openings.booking import (
    is_booked,
    kept_if_right,
    present_day,
    refuse_if_past,
    refuse_if_wrong,
)
from app.services.placing import without
from solver.errors import Fault, InputError
from solver.schedule import PlacedVisit


@dataclass(frozen=True, slots=True)
class Placing:
    """A session as it is to be booked, or was."""

    date: datetime.date
    placed: PlacedVisit


@dataclass(frozen=True, slots=True)
class TakenDates:
    """Nothing was booked: on these dates the sessions do not fit any more."""

    dates: tuple[datetime.date, ...]


class _TakenError(Exception):
    def __init__(self, dates: Sequence[datetime.date]) -> None:
        self.dates = tuple(dates)


def book_course(
    store: Store, wanted: Wanted, sessions: Sequence[Placing], *, actor: str, clock: Clock = wall_clock
) -> TakenDates | None:
    """Book every session as placed; the patient is told of all of them now. None: all are booked.

    Booked again what is booked already changes nothing. Raises InputError where something asked for does not exist,
    is past or is more than the course has left, and StoreError; then nothing is booked.
    """
    for one in sessions:
        refuse_if_past(one.date, clock)
    if len({one.date for one in sessions}) < len(sessions):
        raise InputError([Fault("sessions", "two are on one date", "find the sessions again")])
    try:
        _book(store, wanted, sessions, actor)
    except _TakenError as error:
        return TakenDates(error.dates)
    return None


def _book(store: Store, wanted: Wanted, sessions: Sequence[Placing], actor: str) -> None:
    with store.writing() as session:
        clinic = the_clinic(session, to_write=True)
        taken = []
        for one in sorted(sessions, key=lambda each: each.date):
            present = present_day(session, clinic, one.date)
            placed = {one.placed.id: one.placed}
            if is_booked(present, placed):
                continue
            limits = Limits(first=one.date, last=one.date)
            asked = asked_within(session, clinic, wanted, limits, code=one.placed.id)
            visit = asked.on(present.day)
            if visit is None or visit.id in present.day.visit_by_id:
                taken.append(one.date)
                continue
            booked = {visit.id: asked.booked_with}
            if kept_if_right(session, clinic, present, [visit], placed, actor, booked) is None:
                taken.append(one.date)
        if taken:
            raise _TakenError(taken)


def undo_course(store: Store, sessions: Sequence[Placing], *, actor: str) -> None:
    """Take all of them out again, or none. Raises InputError where one is not there any more as it was booked."""
    with store.writing() as session:
        clinic = the_clinic(session, to_write=True)
        for one in sorted(sessions, key=lambda each: each.date):
            present = present_day(session, clinic, one.date)
            if not is_booked(present, {one.placed.id: one.placed}):
                what = f"the session of {one.date} was changed since, or is undone already"
                raise InputError([Fault("undo", what, "look at that day, and take the visit out there")])
            day, plan = without(present.day, present.plan, [one.placed.id])
            refuse_if_wrong(day, plan)
            save_day_within(session, clinic, day, plan, read=present.version, actor=actor)
