"""Booking the sessions of a course: all in one transaction, or none."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from sqlmodel import Session

from app.clock import Clock, wall_clock
from app.db.store import Store
from app.models import Clinic
from app.queries.clinics import the_clinic
from app.queries.courses import course_row
from app.queries.openings import sessions_of_course
from app.services.openings.asking import Limits, Wanted, asked_within
from app.services.openings.booking import (
    booked_visit,
    is_booked,
    kept_if_right,
    present_day,
    refuse_if_past,
    refuse_if_wrong,
)
from app.services.openings.course_search import first_wanted
from app.services.openings.off_list import put_all_back_on, take_all_off
from app.services.openings.spacing import spacing_of
from app.services.placing import without
from solver.errors import Fault, InputError, refuse_if
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


@dataclass(frozen=True, slots=True)
class CourseBooked:
    """``off_list``: the patient was on the waiting list for it, and is so no longer."""

    off_list: bool


class _TakenError(Exception):
    def __init__(self, dates: Sequence[datetime.date]) -> None:
        self.dates = tuple(dates)


def book_course(
    store: Store,
    wanted: Wanted,
    sessions: Sequence[Placing],
    *,
    first: datetime.date,
    actor: str,
    clock: Clock = wall_clock,
) -> CourseBooked | TakenDates:
    """Book every session as placed; the patient is told of all of them now, and is off the waiting list for it.

    ``first``: from when on they were looked for. Booked again what is booked already changes nothing. Raises InputError
    where something asked for does not exist, is past, is more than the course has left or is nearer to another session
    than is prescribed or farther from it, as the course is by now, and StoreError; then nothing is booked.
    """
    for one in sessions:
        refuse_if_past(one.date, clock)
    if len({one.date for one in sessions}) < len(sessions):
        raise InputError([Fault("sessions", "two are on one date", "find the sessions again")])
    try:
        with store.writing() as session:
            clinic = the_clinic(session, to_write=True)
            _refuse_if_spaced_wrong(session, clinic, wanted, sessions, first_wanted(first, clock))
            _book(session, clinic, wanted, sessions, actor)
            by_code = {one.placed.id: wanted for one in sessions}
            return CourseBooked(take_all_off(session, clinic, by_code, actor))
    except _TakenError as error:
        return TakenDates(error.dates)


def _refuse_if_spaced_wrong(
    session: Session, clinic: Clinic, wanted: Wanted, sessions: Sequence[Placing], first: datetime.date
) -> None:
    course = None if wanted.course_id is None else course_row(session, clinic.id or 0, wanted.course_id)
    if course is None:
        raise InputError([Fault("course", "there is no such course of this patient", "choose one of the patient's")])
    booked = sessions_of_course(session, course.id or 0)
    new = [one.date for one in sessions if (one.date, one.placed.id) not in booked]
    spacing = spacing_of(course.least_days, course.most_days)
    refuse_if(list(spacing.faults(new, [date for date, _ in booked], first)))


def _book(session: Session, clinic: Clinic, wanted: Wanted, sessions: Sequence[Placing], actor: str) -> None:
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


def undo_course(store: Store, sessions: Sequence[Placing], *, actor: str) -> bool:
    """Take all of them out again, or none; whether the patient is on the waiting list again for it.

    Raises InputError where one is not there any more as it was booked, or has begun.
    """
    with store.writing() as session:
        clinic = the_clinic(session, to_write=True)
        patients = set()
        for one in sorted(sessions, key=lambda each: each.date):
            present = present_day(session, clinic, one.date)
            if not is_booked(present, {one.placed.id: one.placed}):
                what = f"the session of {one.date} was changed since, or is undone already"
                raise InputError([Fault("undo", what, "look at that day, and take the visit out there")])
            patients.add(booked_visit(session, present, one.placed.id)[2])
            day, plan = without(present.day, present.plan, [one.placed.id])
            refuse_if_wrong(day, plan)
            present.save(session, clinic, day, plan, actor)
        codes = [one.placed.id for one in sessions]
        return bool([id for id in patients if put_all_back_on(session, clinic, id, codes, actor)])
