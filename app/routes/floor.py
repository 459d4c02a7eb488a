"""The Floor: the board, its news, and what is pressed on it."""

import datetime
import uuid
from collections.abc import AsyncIterator
from functools import lru_cache

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from fastapi.sse import EventSourceResponse, ServerSentEvent

from app.db.store import Store
from app.routes.access import may, signed_in
from app.routes.asked import AskedDate
from app.routes.faults import as_lines
from app.routes.floor_render import floor_view
from app.routes.forms import Fields, Form
from app.routes.pages import page
from app.routes.parts import parts_of
from app.routes.upkeep_due import due_lines
from app.services.floor.board import board_of
from app.services.floor.handover import LeftOpen, left_open
from app.services.floor.late import LateRoom
from app.services.floor.pressing import Press, press
from app.services.floor.reading import Reading
from app.services.floor.room import FloorRoom
from app.views.cautions import CLINIC
from app.views.dates import spoken
from app.views.floor import FloorView
from app.views.floor_late import late_words
from app.views.upkeep import DueLine
from solver.errors import InputError

router = APIRouter(prefix="/floor")
PRESSING = "POST /floor/{day}/press"
_NOT_TYPED = frozenset({"key", "kind", "visit", "part", "undoes", "ago"})


@router.api_route("", methods=["GET", "HEAD"])
def first(request: Request) -> RedirectResponse:
    """To today."""
    return RedirectResponse(f"/floor/{parts_of(request).clock().date().isoformat()}", 307)


@router.api_route("/{day}", methods=["GET", "HEAD"])
def show_floor(request: Request, date: AskedDate) -> HTMLResponse:
    return _page(request, date)


@router.get("/{day}/changes", response_class=EventSourceResponse)
async def changes(request: Request, date: AskedDate, seen: str = "") -> AsyncIterator[ServerSentEvent]:
    """``changed`` for each mark of the day but the one last seen: by this connection, else by the page."""
    seen = request.headers.get("last-event-id", seen)
    async for mark in parts_of(request).news.marks(date, seen):
        yield ServerSentEvent(raw_data=mark, event="changed", id=mark)


@router.post("/{day}/press")
def take(request: Request, date: AskedDate, form: Form) -> Response:
    """422, with a line each, where something stands in the way."""
    try:
        take_press(request, date, form)
    except InputError as error:
        return _page(request, date, 422, as_lines(error))
    return RedirectResponse(f"/floor/{date.isoformat()}", 303)


def take_press(request: Request, date: datetime.date, form: Fields) -> None:
    """What was sent before under the same key changes nothing. Raises InputError where something stands in the way."""
    parts, ago = parts_of(request), form["ago"]
    made = Press(
        key=form["key"],
        kind=form["kind"],
        visit=form.number("visit"),
        part=form.number("part"),
        undoes=form.number("undoes"),
        ago=int(ago) if ago.isdecimal() and len(ago) < 9 else 0,
        texts={name: form[name] for name in form.names() if name not in _NOT_TYPED},
    )
    press(parts.store, parts.floor, date, made, actor=signed_in(request).name, clock=lambda: instant_now(request))


def instant_now(request: Request) -> datetime.datetime:
    """The clinic's clock as an instant."""
    parts = parts_of(request)
    return parts.clock().replace(tzinfo=parts.zone).astimezone(datetime.UTC)


def _page(request: Request, date: datetime.date, status: int = 200, faults: tuple[str, ...] = ()) -> HTMLResponse:
    reading = parts_of(request).floor.read(date)
    if reading is None:
        return page(request, "no_floor", "Floor", status, title=spoken(date), date=date.isoformat())
    now, may_press = instant_now(request).replace(microsecond=0), may(signed_in(request), PRESSING)
    parts = parts_of(request)
    view, earlier, upkeep = _view(parts.store, parts.floor, parts.late, reading, now, may_press)
    return page(
        request,
        "floor",
        "Floor",
        status,
        floor=view,
        faults=faults,
        who=signed_in(request).name,
        me=_me(request, reading),
        items=[(item, pool.name) for pool in reading.day.applicators for item in pool.items],
        cautions=CLINIC,
        earlier=earlier,
        upkeep=upkeep,
        new_key=new_key,
    )


def new_key() -> str:
    """For a form whose fields are typed: each time it is shown it is another press."""
    return str(uuid.uuid4())


@lru_cache(maxsize=8)
def _view(
    store: Store, floor: FloorRoom, late: LateRoom, reading: Reading, now: datetime.datetime, may_press: bool
) -> tuple[FloorView, tuple[LeftOpen, ...], tuple[DueLine, ...]]:
    """Made once a second for all who look at it."""
    words = late_words(late.effect(reading, now).outcome)
    view = floor_view(reading, board_of(reading, now), words, may_press=may_press)
    return view, left_open(store, floor, reading.date, now), due_lines(store, reading.date)


def _me(request: Request, reading: Reading) -> str:
    """The member of staff whose queue is shown: the one chosen, else whom the account is for; empty: everybody's."""
    chosen = request.query_params.get("me", signed_in(request).staff)
    return chosen if chosen in reading.day.staff_by_id else ""
