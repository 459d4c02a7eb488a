"""Booking, moving and undoing from the Openings page: each answers with the page, and with what was done or why not."""

import datetime
from collections.abc import Iterator
from dataclasses import replace

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.routes.access import signed_in
from app.routes.forms import Fields, Form
from app.routes.openings import openings_page
from app.routes.openings_asked import AskedPage
from app.routes.openings_offers import versions_of
from app.routes.openings_told import nearest_offers, taken_lines
from app.services.openings.asking import Wanted
from app.services.openings.booking import Booked, Refused, book
from app.services.openings.moving import Moved, move, move_back
from app.services.openings.undoing import Undone, undo
from app.services.openings.written import read_back, written
from app.services.patients import read_patient
from app.typed import date_of
from app.views.openings import Told
from app.views.openings_ask import Ask, ask_of_text
from app.views.openings_words import short_date
from solver.clock import clock
from solver.errors import Fault, InputError
from solver.schedule import PlacedVisit

router = APIRouter(prefix="/openings")
NOT_SEEN = "not_seen"
"""The answer where none was given: then the Floor asks."""


@router.post("/book")
def book_it(request: Request, fields: Form) -> Response:
    """409 with who took what and the next offers where the start is not free any more, 422 with every other fault; the
    form as it was in both.
    """
    asked = AskedPage(request, ask_of_text(fields["ask"]))
    try:
        return _book(request, fields, asked)
    except InputError as error:
        return _not_done(request, asked.ask, error, 422, "Nothing was booked")


def _book(request: Request, fields: Fields, asked: AskedPage) -> Response:
    date, placed, moved = _date(fields, "date"), read_back(fields["placed"]), _moved(fields)
    wanted = [replace(one, screening=fields["screening"] or NOT_SEEN) for one in _wanted(asked)]
    if len(wanted) != len(placed):
        raise InputError([Fault("ask", "patient and treatment are not chosen", "choose them again")])
    if fields["versions"] not in ("", versions_of(asked)):
        what = "what was prescribed was changed since this page was shown"
        raise InputError([Fault("treatment", what, "choose of the starts that there are now")])
    # A walk-in is booked when it is pressed, be it a minute after the last one that was offered.
    limits = replace(asked.limits, within=None)
    wishes = [(one, limits, where) for one, where in zip(wanted, placed, strict=True)]
    done = book(
        asked.parts.store,
        date,
        wishes,
        read=fields.number("read") or 0,
        actor=signed_in(request).name,
        clock=asked.parts.clock,
        moved=moved,
        waiting=asked.ask.waiting_id,
    )
    if isinstance(done, Refused):
        return _taken(request, asked, done)
    names = " and ".join(one.name for one in (asked.patient, asked.second) if one is not None)
    lines = [f"{names}: {short_date(date)} at {clock(placed[0].parts[0].start)}."]
    if moved:
        lines.append(f"Moved to make room: {len(moved)}. Tell those who knew of another time.")
    if done.off_list is not None:
        lines.append("Off the waiting list.")
    undo_fields = _undo_fields(asked.ask, done)
    told = Told(title="Booked", lines=tuple(lines), undo=undo_fields, undo_action="/openings/undo")
    return openings_page(request, Ask(patient=asked.ask.patient), told=told)


@router.post("/undo")
def undo_it(request: Request, fields: Form) -> Response:
    """409 where what was booked or moved was changed since, and with who has its place where somebody else has."""
    asked = AskedPage(request, ask_of_text(fields["ask"]))
    try:
        booked = _booked(fields)
        done = undo(asked.parts.store, booked, actor=signed_in(request).name)
    except InputError as error:
        return _not_done(request, asked.ask, error, 409, "It was not undone")
    if isinstance(done, Refused):
        return _cannot_go_back(request, asked, done)
    told = Told(title="Undone", lines=tuple(_undone_lines(booked, done)))
    return openings_page(request, asked.ask, told=told)


def _cannot_go_back(request: Request, asked: AskedPage, refused: Refused) -> Response:
    taken = taken_lines(asked, refused)
    line = "Whoever was moved to make room cannot go back to where they were. Nothing was changed."
    more = () if taken else ("The day was changed meanwhile: look at it, and move there who is to be moved.",)
    told = Told(title="It was not undone", lines=(line, *more), taken=taken, is_trouble=True)
    return openings_page(request, asked.ask, 409, told=told)


def _undone_lines(booked: Booked, done: Undone) -> Iterator[str]:
    yield "The booking is taken out again."
    if booked.before:
        yield f"Where they were again: {len(booked.before)}."
    if done.to_tell:
        yield f"Of another time were told, and must be told again: {len(done.to_tell)}."
    if done.on_list:
        yield "On the waiting list again."


def _booked(fields: Fields) -> Booked:
    """What is to be undone."""
    placed = {one.id: one for one in read_back(fields["placed"])}
    before = {one.id: one for one in read_back(fields["was_at"])} if fields["was_at"] else {}
    version = fields.number("read") or 0
    return Booked(_date(fields, "date"), version, placed, before, fields.number("off_list"))


@router.post("/move")
def move_it(request: Request, fields: Form) -> Response:
    """As booking; nothing is changed where the start is not free any more."""
    asked = AskedPage(request, ask_of_text(fields["ask"]))
    try:
        return _move(request, fields, asked)
    except InputError as error:
        return _not_done(request, asked.ask, error, 422, "Nothing was moved")


def _move(request: Request, fields: Fields, asked: AskedPage) -> Response:
    date, all_placed = _date(fields, "date"), read_back(fields["placed"])
    if asked.move is None or len(all_placed) != 1:
        raise InputError([Fault("visit", "there is no such visit any more", "look at the day again")])
    (placed,) = all_placed
    done = move(
        asked.parts.store,
        *asked.move,
        date,
        placed,
        limits=asked.limits,
        read=fields.number("read") or 0,
        actor=signed_in(request).name,
        clock=asked.parts.clock,
    )
    if isinstance(done, Refused):
        return _taken(request, asked, done)
    patient = read_patient(asked.parts.store, done.patient_id or 0)
    said = f"{patient.name}: now {short_date(date)} at {clock(placed.parts[0].start)}."
    ask = Ask(patient=str(patient.id))
    undo_fields = _move_fields(ask, done) if done.before is not None else ()
    told = Told(title="Moved", lines=(said,), undo=undo_fields, undo_action="/openings/move/undo")
    return openings_page(request, ask, told=told)


@router.post("/move/undo")
def undo_move(request: Request, fields: Form) -> Response:
    ask = ask_of_text(fields["ask"])
    before, after = read_back(fields["before"]), read_back(fields["placed"])
    if len(before) != 1 or len(after) != 1:
        raise InputError([Fault("placed", "this is no move", "look at the day again")])
    booked = Booked(_date(fields, "date"), fields.number("read") or 0, {after[0].id: after[0]})
    moved = Moved(_date(fields, "before_date"), before[0], booked)
    try:
        done = move_back(AskedPage(request, ask).parts.store, moved, actor=signed_in(request).name)
    except InputError as error:
        return _not_done(request, ask, error, 409, "It was not undone")
    if isinstance(done, Refused):
        return _taken(request, AskedPage(request, ask), done)
    return openings_page(request, ask, told=Told(title="Undone", lines=("The visit is where it was.",)))


def _taken(request: Request, asked: AskedPage, refused: Refused) -> Response:
    taken = taken_lines(asked, refused)
    if taken:
        lines = ("Nothing was booked. These are the next starts; what was asked for is as it was.",)
    else:
        lines = ("The day was changed meanwhile. Nothing was booked; choose again of what there is now.",)
    near = nearest_offers(asked, refused)
    told = Told(title="Somebody else was faster", lines=lines, taken=taken, nearest=near, is_trouble=True)
    return openings_page(request, asked.ask, 409, told=told)


def _not_done(request: Request, ask: Ask, error: InputError, status: int, title: str) -> Response:
    """The page with the form as it was, and a line for each fault."""
    lines = tuple(f"{fault.what}; {fault.right}" for fault in error.faults)
    return openings_page(request, ask, status, told=Told(title=title, lines=lines, is_trouble=True))


def _wanted(asked: AskedPage) -> list[Wanted]:
    found = [] if asked.what is None else [asked.what.wanted]
    if asked.second is not None and asked.second_what is not None:
        found.append(asked.second_what.wanted)
    return found


def _undo_fields(ask: Ask, booked: Booked) -> tuple[tuple[str, str], ...]:
    return (
        ("ask", ask.query(date="", at="")),
        ("date", booked.date.isoformat()),
        ("read", str(booked.version)),
        ("placed", written(booked.placed.values())),
        ("was_at", written(booked.before.values())),
        ("off_list", str(booked.off_list or "")),
    )


def _move_fields(ask: Ask, moved: Moved) -> tuple[tuple[str, str], ...]:
    assert moved.before is not None
    before = (("before_date", moved.before_date.isoformat()), ("before", written([moved.before])))
    return (*_undo_fields(ask, moved.after), *before)


def _moved(fields: Fields) -> list[PlacedVisit]:
    return read_back(fields["moved"]) if fields["moved"] else []


def _date(fields: Fields, name: str) -> datetime.date:
    date = date_of(fields[name])
    if date is None:
        raise InputError([Fault(name, "this is no date", "choose a start of the list")])
    return date
