"""A day that runs late: what comes of it, a repair beside it, and which of the two becomes the plan."""

import datetime

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from app.routes.access import signed_in
from app.routes.asked import AskedDate
from app.routes.faults import as_lines
from app.routes.floor import instant_now
from app.routes.floor_render import visit_address
from app.routes.forms import Form
from app.routes.pages import page
from app.routes.parts import parts_of
from app.services.floor.reading import Reading
from app.services.floor.taking_over import Abandoned, abandoned
from app.views.dates import spoken
from app.views.floor_late import AbandonedLine, late_lines, late_words, outcome_view
from app.views.floor_words import phase_words
from app.views.words import listed
from solver.errors import InputError

router = APIRouter(prefix="/floor/{day}/late")


@router.api_route("", methods=["GET", "HEAD"])
def show_late(request: Request, date: AskedDate) -> HTMLResponse:
    return _page(request, date)


@router.post("/repair")
def look_for_repair(request: Request, date: AskedDate) -> Response:
    """Begin to look for one; the page shows how that goes."""
    parts = parts_of(request)
    reading = parts.floor.read(date)
    if reading is not None:
        parts.late.look_for_repair(reading, instant_now(request))
    return RedirectResponse(f"/floor/{date.isoformat()}/late", 303)


@router.post("/cancel")
def cancel(request: Request, date: AskedDate) -> Response:
    """End with the best so far."""
    parts_of(request).late.cancel()
    return RedirectResponse(f"/floor/{date.isoformat()}/late", 303)


@router.post("/accept")
def accept(request: Request, date: AskedDate, form: Form) -> Response:
    """422, with what stands in the way, where what was shown cannot become the plan any more."""
    which, mark = form["which"], form["mark"]
    try:
        parts_of(request).late.accept(date, which, mark, instant_now(request), actor=signed_in(request).name)
    except InputError as error:
        return _page(request, date, 422, as_lines(error))
    return RedirectResponse(f"/floor/{date.isoformat()}", 303)


def _page(request: Request, date: datetime.date, status: int = 200, faults: tuple[str, ...] = ()) -> HTMLResponse:
    parts = parts_of(request)
    reading = parts.floor.read(date)
    if reading is None:
        return page(request, "no_floor", "Floor", status, title=spoken(date), date=date.isoformat())
    effect = parts.late.effect(reading, instant_now(request))
    repair = parts.late.repair(reading)
    repaired = None if repair is None else repair.outcome
    elapsed = 0.0 if repair is None else parts.late.time_now() - repair.began
    return page(
        request,
        "floor_late",
        "Floor",
        status,
        title=spoken(date),
        address=f"/floor/{date.isoformat()}",
        mark=reading.mark,
        words=late_words(effect.outcome),
        shift=outcome_view(reading.day, effect.outcome),
        repair=None if repaired is None else outcome_view(reading.day, repaired),
        running=repair is not None and not repair.ended,
        seconds=0 if repair is None else repair.seconds,
        elapsed=int(elapsed),
        error="" if repair is None else repair.error,
        lines=late_lines(
            reading.day,
            (effect.outcome, repaired),
            {code: visit_address(reading, code) for code in reading.row_ids},
        ),
        faults=faults,
        waited=listed(reading.day.visit_by_id[code].patient for code in effect.live.late),
        abandoned=tuple(_abandoned(reading, one) for one in abandoned(reading, instant_now(request))),
    )


def _abandoned(reading: Reading, one: Abandoned) -> AbandonedLine:
    names = reading.day.staff_by_id
    return AbandonedLine(
        address=visit_address(reading, one.visit),
        name=reading.day.visit_by_id[one.visit].patient,
        phase=phase_words(reading.day.visit_by_id[one.visit].parts[one.part].phases[one.phase]),
        hands=names[one.hands].name,
        could=listed(names[id].name for id in one.could),
    )
