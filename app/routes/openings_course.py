"""A course in one go: its sessions found, read out, and booked all at once."""

import datetime
from collections.abc import Sequence

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.routes.access import signed_in
from app.routes.faults import as_lines
from app.routes.forms import Fields, Form
from app.routes.openings_offers import lengths_of
from app.routes.pages import page
from app.routes.parts import parts_of
from app.routes.patient_meant import patient_meant
from app.routes.row_ids import AskedRowId
from app.services.openings.course_booking import Placing, TakenDates, book_course, undo_course
from app.services.openings.course_search import MOST_WEEKS, FoundCourse, find_course, wanted_of_course
from app.services.openings.written import read_back, written
from app.services.patients import PatientLine
from app.typed import date_of, whole
from app.views.course_sessions import CoursePage, SessionLine
from app.views.courses import course_lines
from app.views.dates import spoken
from app.views.openings_words import therapist_of, times_of, where_of
from app.views.words import counted
from solver.clock import parse_clock
from solver.errors import Fault, InputError

router = APIRouter(prefix="/openings/course")
WEEKS = 6


@router.api_route("", methods=["GET", "HEAD"])
def show(
    request: Request, patient: AskedRowId, course: AskedRowId, first: str = "", weeks: str = "", wish: str = ""
) -> Response:
    """The sessions that are not booked yet, as they could be."""
    return _page(request, patient, course, first, weeks, wish)


@router.post("/book")
def book_it(request: Request, fields: Form) -> Response:
    """409 with what is found by now where a session does not fit any more, 422 with every other fault; then none is
    booked."""
    patient, course = fields.number("patient") or 0, fields.number("course") or 0
    asked = (fields["first"], fields["weeks"], fields["wish"])
    parts, actor = parts_of(request), signed_in(request).name
    try:
        sessions, wanted = _sessions(fields), wanted_of_course(parts.ready, patient, course)
        first = _begins(request, fields["first"])
        done = book_course(parts.store, wanted, sessions, first=first, actor=actor, clock=parts.clock)
    except InputError as error:
        return _page(request, patient, course, *asked, status=422, trouble=("Nothing was booked.", *as_lines(error)))
    if isinstance(done, TakenDates):
        dates = ", ".join(spoken(date) for date in done.dates)
        trouble = (f"Somebody else was faster on {dates}: nothing was booked.", "These are the sessions by now.")
        return _page(request, patient, course, *asked, status=409, trouble=trouble)
    said = f"Booked: {counted(len(sessions), 'session')}.{' Off the waiting list.' if done.off_list else ''}"
    undo = (*_carried(patient, course, *asked), *_written(sessions))
    return _page(request, patient, course, *asked, done=said, undo=undo)


@router.post("/undo")
def undo_it(request: Request, fields: Form) -> Response:
    patient, course = fields.number("patient") or 0, fields.number("course") or 0
    asked = (fields["first"], fields["weeks"], fields["wish"])
    try:
        on_list = undo_course(parts_of(request).store, _sessions(fields), actor=signed_in(request).name)
    except InputError as error:
        return _page(request, patient, course, *asked, status=409, trouble=as_lines(error))
    said = "Undone: the sessions are taken out again."
    return _page(request, patient, course, *asked, done=f"{said}{' On the waiting list again.' if on_list else ''}")


def _page(
    request: Request,
    patient: int,
    course: int,
    first: str,
    weeks: str,
    wish: str,
    *,
    status: int = 200,
    trouble: Sequence[str] = (),
    done: str = "",
    undo: tuple[tuple[str, str], ...] = (),
) -> Response:
    person = patient_meant(request, patient)
    carried = _carried(patient, course, first, weeks, wish)
    try:
        found = _found(request, patient, course, first, weeks, wish)
    except InputError as error:
        wrong = (*trouble, *(() if done else as_lines(error)))
        view = _view(person, None, (), first, weeks, wish, carried, trouble=wrong, done=done, undo=undo)
        return page(request, "course_openings", "Openings", status if done or trouble else 422, course=view)
    lines = _lines(request, found)
    hidden = (*carried, *_written([Placing(one.date, one.placed) for one in found.sessions]))
    view = _view(person, found, lines, first, weeks, wish, hidden, trouble=tuple(trouble), done=done, undo=undo)
    return page(request, "course_openings", "Openings", status, course=view)


def _view(
    person: PatientLine,
    found: FoundCourse | None,
    lines: tuple[SessionLine, ...],
    first: str,
    weeks: str,
    wish: str,
    hidden: tuple[tuple[str, str], ...],
    *,
    trouble: tuple[str, ...],
    done: str,
    undo: tuple[tuple[str, str], ...],
) -> CoursePage:
    shown = course_lines([found.line])[0] if found else None
    return CoursePage(
        patient=person.name,
        patient_address=f"/patients/{person.id}",
        treatment=shown.treatment if shown else "",
        prescribed=f"{shown.when}. Prescribed by {shown.prescribed}" if shown else "",
        booked=tuple(spoken(date) for date in found.booked) if found else (),
        first=found.first.isoformat() if found else first,
        weeks=weeks or str(WEEKS),
        wish=wish,
        action="/openings/course",
        lines=lines,
        missing=found.missing if found else "",
        waits=found.waits if found else False,
        hidden=hidden,
        undo=undo,
        trouble=trouble,
        done=done,
    )


def _found(request: Request, patient: int, course: int, first: str, weeks: str, wish: str) -> FoundCourse:
    parts = parts_of(request)
    asked = whole(weeks) or 0
    count = asked if 0 < asked <= MOST_WEEKS else WEEKS
    begins = _begins(request, first)
    return find_course(
        parts.ready, patient, course, clock=parts.clock, first=begins, weeks=count, wish=parse_clock(wish)
    )


def _begins(request: Request, first: str) -> datetime.date:
    """From when on sessions are looked for."""
    return date_of(first) or parts_of(request).clock().date()


def _lines(request: Request, found: FoundCourse) -> tuple[SessionLine, ...]:
    lengths = lengths_of(found.asked)
    lines = []
    for one in found.sessions:
        day = parts_of(request).ready.on(one.date).day
        assert day is not None
        lines.append(
            SessionLine(
                number=one.number,
                when=spoken(one.date),
                times=times_of(one.placed, lengths),
                where=where_of(day, one.placed),
                therapist=therapist_of(day, one.placed),
                address=f"/day/{one.date.isoformat()}",
                gap="" if one.gap is None else counted(one.gap, "day"),
            )
        )
    return tuple(lines)


def _carried(patient: int, course: int, first: str, weeks: str, wish: str) -> tuple[tuple[str, str], ...]:
    return (("patient", str(patient)), ("course", str(course)), ("first", first), ("weeks", weeks), ("wish", wish))


def _written(sessions: Sequence[Placing]) -> tuple[tuple[str, str], ...]:
    dates = " ".join(one.date.isoformat() for one in sessions)
    return (("dates", dates), ("placed", written(one.placed for one in sessions)))


def _sessions(fields: Fields) -> list[Placing]:
    """Raises InputError where dates and placements are not what the page gave."""
    placed, dates = read_back(fields["placed"]), [date_of(text) for text in fields["dates"].split()]
    known: list[datetime.date] = [date for date in dates if date is not None]
    if not placed or len(known) != len(placed) or len(dates) != len(placed):
        raise InputError([Fault("sessions", "there are none to book", "find the sessions again")])
    return [Placing(date, one) for date, one in zip(known, placed, strict=True)]
