"""Planning the day again: start or join a search, follow it, cancel it."""

import asyncio
from collections.abc import AsyncIterator

from fastapi import APIRouter
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from fastapi.sse import EventSourceResponse, ServerSentEvent

from app.routes.access import signed_in
from app.routes.asked import Asked, AskedDay
from app.routes.forms import Form
from app.routes.pages import by_htmx
from app.routes.render import form_response, form_view, page_response, progress_view
from app.services.planning import MOST_SECONDS
from app.typed import whole
from solver.errors import InputError

router = APIRouter(prefix="/day/{day}/plan")
PAUSE_S = 0.25


@router.post("")
def plan_again(asked: AskedDay, form: Form) -> Response:
    """422, with the form as it was filled in, where the seconds are wrong or nothing can be planned."""
    given = form["seconds"][:20]
    seconds = whole(given)
    if seconds is None or not 1 <= seconds <= MOST_SECONDS:
        return _answer(asked, 422, given, fault=f"Give whole seconds from 1 to {MOST_SECONDS}.")
    try:
        free = frozenset(form.all("free"))
        asked.parts.planning.start(asked.shown.date, int(given), actor=signed_in(asked.request).name, free=free)
    except InputError as error:
        return _answer(asked, 422, given, faults=tuple(str(fault) for fault in error.faults))
    return _answer(asked, 200, given)


@router.post("/cancel")
def cancel(asked: AskedDay) -> Response:
    """Keep the best so far. Also right where nothing runs any more."""
    asked.parts.planning.cancel(asked.shown.date)
    return _answer(asked, 200)


@router.get("/events", response_class=EventSourceResponse)
async def events(asked: AskedDay) -> AsyncIterator[ServerSentEvent]:
    """The progress of the running search as fragments; after the last one the event ``planned``."""
    template = asked.parts.templates.get_template("partials/progress.html")
    form, last = form_view(asked), ""
    while True:
        view = progress_view(asked, asked.parts.planning.current(asked.shown.date))
        more = {"cancel": form.cancel, "may_plan": form.may_plan, "proposal": form.proposal}
        fragment = template.render(progress=view, **more) if view else ""
        if fragment != last:
            yield ServerSentEvent(raw_data=fragment)
            last = fragment
        if view is None or not view.running:
            yield ServerSentEvent(raw_data="over", event="planned")
            return
        await asyncio.sleep(PAUSE_S)


def _answer(
    asked: Asked, status: int, seconds: str = "", fault: str = "", faults: tuple[str, ...] = ()
) -> HTMLResponse | RedirectResponse:
    form = form_view(asked, seconds=seconds, fault=fault, faults=faults)
    if by_htmx(asked.request):
        return form_response(asked, form, status)
    if status != 200:
        return page_response(asked, form, status)
    return RedirectResponse(form.page_address, 303)
