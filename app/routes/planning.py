"""Planning the day again: start or join a search, follow it, cancel it."""

import asyncio
from collections.abc import AsyncIterator
from urllib.parse import parse_qs

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from fastapi.sse import EventSourceResponse, ServerSentEvent
from starlette.concurrency import run_in_threadpool

from app.routes.asked import Asked, AskedDay
from app.routes.render import form_response, form_view, page_response, progress_view
from app.services.planning import MOST_SECONDS
from solver.errors import InputError

router = APIRouter(prefix="/day/{day}/plan")
LONGEST_BODY = 1000
PAUSE_S = 0.25


@router.post("")
async def plan_again(request: Request, asked: AskedDay) -> Response:
    """422, with the form as it was filled in, where the seconds or the day file are wrong."""
    given = await _seconds(request)
    if not (given.isascii() and given.isdigit() and len(given) < 5 and 1 <= int(given) <= MOST_SECONDS):
        fault = f"Give whole seconds from 1 to {MOST_SECONDS}."
        return _answer(asked, 422, given, fault=fault)
    try:
        await run_in_threadpool(asked.parts.planning.start, int(given))
    except InputError as error:
        return _answer(asked, 422, given, faults=tuple(str(fault) for fault in error.faults))
    return _answer(asked, 200, given)


@router.post("/cancel")
def cancel(asked: AskedDay) -> Response:
    """Keep the best so far. Also right where nothing runs any more."""
    asked.parts.planning.cancel()
    return _answer(asked, 200)


@router.get("/events", response_class=EventSourceResponse)
async def events(asked: AskedDay) -> AsyncIterator[ServerSentEvent]:
    """The progress of the running search as fragments; after the last one the event ``planned``."""
    template = asked.parts.templates.get_template("partials/progress.html")
    last = ""
    while True:
        view = progress_view(asked, asked.parts.planning.current)
        fragment = template.render(progress=view, cancel=form_view(asked).cancel) if view else ""
        if fragment != last:
            yield ServerSentEvent(raw_data=fragment)
            last = fragment
        if view is None or not view.running:
            yield ServerSentEvent(raw_data="over", event="planned")
            return
        await asyncio.sleep(PAUSE_S)


async def _seconds(request: Request) -> str:
    """The field of the form; empty where it is not there."""
    body = b""
    async for chunk in request.stream():
        body += chunk
        if len(body) > LONGEST_BODY:
            return ""
    fields = parse_qs(body.decode("utf-8", "replace"))
    return fields.get("seconds", [""])[0].strip()[:20]


def _answer(
    asked: Asked, status: int, seconds: str = "", fault: str = "", faults: tuple[str, ...] = ()
) -> HTMLResponse | RedirectResponse:
    form = form_view(asked, seconds=seconds, fault=fault, faults=faults)
    if asked.by_htmx:
        return form_response(asked, form, status)
    if status != 200:
        return page_response(asked, form, status)
    return RedirectResponse(form.page_address, 303)
