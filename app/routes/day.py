"""The Day room."""

from collections.abc import AsyncIterator

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import HTMLResponse, RedirectResponse
from fastapi.sse import EventSourceResponse, ServerSentEvent

from app.routes.asked import AskedDate, asked_of
from app.routes.pages import page
from app.routes.parts import parts_of
from app.routes.render import form_view, page_response
from app.typed import date_of
from app.views.dates import dates_around, spoken

router = APIRouter()


@router.api_route("/", methods=["GET", "HEAD"])
def first(request: Request) -> RedirectResponse:
    """To today."""
    return RedirectResponse(f"/day/{parts_of(request).clock().date().isoformat()}", 307)


@router.api_route("/day", methods=["GET", "HEAD"])
def go_to(request: Request, date: str = "") -> RedirectResponse:
    """To the date of the date field. Raises 404 for one that is none."""
    wanted = date_of(date)
    if wanted is None:
        raise HTTPException(404)
    return RedirectResponse(f"/day/{wanted.isoformat()}", 303)


@router.api_route("/day/{day}", methods=["GET", "HEAD"], response_class=HTMLResponse)
def show_day(request: Request, date: AskedDate) -> HTMLResponse:
    parts = parts_of(request)
    shown = parts.days.shown(date)
    if shown.day is None:
        dates = dates_around(date, parts.clock().date())
        return page(request, "no_day", "Day", dates=dates, title=spoken(date), state=shown.state, faults=shown.faults)
    asked = asked_of(request, shown, shown.day)
    return page_response(asked, form_view(asked))


@router.get("/day/{day}/changes", response_class=EventSourceResponse)
async def changes(request: Request, date: AskedDate, seen: str = "") -> AsyncIterator[ServerSentEvent]:
    """``changed`` for each version of the day but the one last seen: by this connection, else by the page."""
    seen = request.headers.get("last-event-id", seen)
    async for version in parts_of(request).news.versions(date, seen):
        yield ServerSentEvent(raw_data=version, event="changed", id=version)
