"""The sessions of a course that are not booked yet, found in one go: the same hour and therapist where it can be."""

import datetime
from collections.abc import Mapping, Sequence
from contextlib import ExitStack
from dataclasses import dataclass, replace

from app.clock import Clock, days_after
from app.queries.clinics import the_clinic
from app.queries.courses import course_row
from app.queries.openings import sessions_of_course
from app.services.courses import CourseLine, courses_of_patient
from app.services.openings.asking import Asked, Limits, Wanted, asked_for, new_code
from app.services.openings.off_list import is_waited_for
from app.services.openings.ready import ReadyDay, ReadyDays
from app.services.openings.spacing import spacing_of
from solver.clock import Interval, parse_clock
from solver.course_choice import Course
from solver.courses import PlacedCourse, place_course
from solver.errors import Fault, InputError
from solver.offering.loaded import LoadedPlan
from solver.schedule import PlacedVisit

MOST_WEEKS = 12


@dataclass(frozen=True, slots=True)
class FoundSession:
    """``number``: by date among all sessions of the course, those that are booked too. ``gap``: days from the one
    before it; None: it is the first. ``version``: of the day in which it was found."""

    number: int
    gap: int | None
    date: datetime.date
    version: int
    placed: PlacedVisit


@dataclass(frozen=True, slots=True)
class FoundCourse:
    """``booked``: dates of sessions that were booked before. ``missing``: what is, in words; empty: nothing.

    ``waits``: the patient is on the waiting list for the treatment.
    """

    line: CourseLine
    wanted: Wanted
    asked: Asked
    booked: tuple[datetime.date, ...]
    first: datetime.date
    last: datetime.date
    sessions: tuple[FoundSession, ...]
    missing: str
    waits: bool


def find_course(
    ready: ReadyDays,
    patient_id: int,
    course_id: int,
    *,
    clock: Clock,
    first: datetime.date,
    weeks: int,
    wish: int | None,
) -> FoundCourse:
    """The best sessions from ``first`` on, tomorrow at the earliest, nothing else changed.

    ``wish``: the wished hour, a minute; None: the one that fits best. Sessions keep the course's distances from those
    that are booked before and after them; only from one so long ago that no day is near enough the most days are not
    asked for. Raises InputError where there is no such open course, or all of it is booked.
    """
    line, wanted, booked = _course(ready, patient_id, course_id)
    _refuse_if_over(line)
    form = line.form
    spacing = spacing_of(int(form["least_days"]), int(form["most_days"]))
    begins = first_wanted(first, clock)
    last = days_after(begins, 7 * min(weeks, MOST_WEEKS) - 1)
    first = spacing.first(begins, booked)
    latest = [] if spacing.is_paused(begins, booked) else [date for date in booked if date < first][-1:]
    asked = asked_for(ready.store, wanted, Limits(first=first, last=last))
    hours = [Interval(parse_clock(start) or 0, parse_clock(end) or 24 * 60) for start, end in form["hours"]]
    course = Course(
        sessions=line.left,
        least_days=spacing.least,
        most_days=spacing.most,
        weekdays=frozenset(int(day) for day in form["weekdays"]) or frozenset(range(7)),
        hours=Interval(hours[0].start, hours[-1].end) if hours else None,
        wish=wish,
        therapist_wish=form["therapist"] or None,
        booked=(*latest, *(date for date in booked if date >= first)),
    )
    visit = replace(asked.visit, free=tuple(hours) or None)
    taken = set(booked)
    days = [day for day in _days(ready, first, last) if day.loaded is not None and day.date not in taken]
    days = [day for day in days if day.day is not None and asked.on(day.day) is not None]
    with ExitStack() as stack:
        loaded: Sequence[LoadedPlan] = [stack.enter_context(day.asked()) for day in days]
        found = place_course(loaded, visit, course)
    return FoundCourse(
        line=line,
        wanted=wanted,
        asked=asked,
        booked=booked,
        first=first,
        last=last,
        sessions=_sessions(found, booked, {day.date: day.version for day in days}),
        missing=_missing(found, len(booked)),
        waits=is_waited_for(ready.store, wanted),
    )


def first_wanted(first: datetime.date, clock: Clock) -> datetime.date:
    """From when on sessions are looked for: tomorrow at the earliest."""
    return max(first, days_after(clock().date(), 1))


def _sessions(
    found: PlacedCourse, booked: Sequence[datetime.date], versions: Mapping[datetime.date, int]
) -> tuple[FoundSession, ...]:
    every = sorted([*booked, *(one.session.date for one in found.placed)])
    sessions = []
    for one in found.placed:
        date = one.session.date
        n = every.index(date)
        gap = (date - every[n - 1]).days if n else None
        sessions.append(FoundSession(n + 1, gap, date, versions[date], replace(one.placed, id=new_code())))
    return tuple(sessions)


def _missing(found: PlacedCourse, booked: int) -> str:
    """The sessions that are booked counted too: whatever is missing comes last."""
    missing = found.missing
    return "" if missing is None else replace(missing, first=missing.first + booked, last=missing.last + booked).text


def wanted_of_course(ready: ReadyDays, patient_id: int, course_id: int) -> Wanted:
    """What a session of the course is booked with. Raises InputError where there is no such course."""
    return _course(ready, patient_id, course_id)[1]


def _course(ready: ReadyDays, patient_id: int, course_id: int) -> tuple[CourseLine, Wanted, tuple[datetime.date, ...]]:
    line = next((one for one in courses_of_patient(ready.store, patient_id) if one.id == course_id), None)
    if line is None:
        raise InputError([Fault("course", "there is no such course of this patient", "choose one of the list")])
    with ready.store.reading() as session:
        row = course_row(session, the_clinic(session).id or 0, course_id)
        assert row is not None
        booked = tuple(date for date, _ in sessions_of_course(session, course_id))
        version = row.treatment_version_id
    wanted = Wanted(patient_id=patient_id, treatment_version_id=version, course_id=course_id, screening="not_seen")
    return line, wanted, booked


def _refuse_if_over(line: CourseLine) -> None:
    if line.status != "open" or line.left == 0:
        what = f"it is {line.status}" if line.status != "open" else "all its sessions are booked"
        raise InputError([Fault("course", what, "choose another course")])


def _days(ready: ReadyDays, first: datetime.date, last: datetime.date) -> list[ReadyDay]:
    some = ready.between(first, last) if first <= last else []
    days = list(some)
    while some and days[-1].date < last:
        some = ready.between(days_after(days[-1].date, 1), last)
        days += some
    return days
