"""One visit on the Floor: what was prescribed, what is to be asked, what was decided, and how it goes."""

import datetime

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from app.routes.access import may, signed_in
from app.routes.asked import AskedDate
from app.routes.faults import by_field
from app.routes.floor import PRESSING, instant_now, new_key, take_press
from app.routes.floor_visit_render import floor_visit_view
from app.routes.forms import Form
from app.routes.pages import page
from app.routes.parts import parts_of
from app.routes.row_ids import RowId
from app.services.floor.prescribed import Prescribed, prescribed_for
from app.services.floor.reading import Reading
from app.views.cautions import CLINIC, UNATTENDED
from solver.errors import InputError

router = APIRouter(prefix="/floor/{day}/visit/{id}")


@router.api_route("", methods=["GET", "HEAD"])
def show_visit(request: Request, date: AskedDate, id: RowId) -> HTMLResponse:
    """404 where the visit is not on the day's plan."""
    return _page(request, date, id)


@router.post("")
def take(request: Request, date: AskedDate, id: RowId, form: Form) -> Response:
    """422, with the form as it was filled in, where something stands in the way."""
    try:
        take_press(request, date, form)
    except InputError as error:
        given = {name: form[name] for name in form.names()}
        return _page(request, date, id, 422, faults=by_field(error), given=given)
    return RedirectResponse(f"/floor/{date.isoformat()}/visit/{id}", 303)


def _page(
    request: Request,
    date: datetime.date,
    id: int,
    status: int = 200,
    faults: dict[str, str] | None = None,
    given: dict[str, str] | None = None,
) -> HTMLResponse:
    reading, prescribed = _known(request, date, id)
    may_press = may(signed_in(request), PRESSING)
    return page(
        request,
        "floor_visit",
        "Floor",
        status,
        visit=floor_visit_view(reading, prescribed, id, instant_now(request), may_press=may_press),
        cautions=CLINIC,
        bell=UNATTENDED,
        who=signed_in(request).name,
        faults=faults or {},
        given=given or {},
        clinician=_clinician(request, reading),
        new_key=new_key,
    )


def _clinician(request: Request, reading: Reading) -> str:
    """The name of whoever is signed in, where they are a therapist of the day; else empty."""
    member = reading.day.staff_by_id.get(signed_in(request).staff)
    return member.name if member is not None and member.kind == "therapist" else ""


def _known(request: Request, date: datetime.date, id: int) -> tuple[Reading, Prescribed]:
    parts = parts_of(request)
    reading, prescribed = parts.floor.read(date), prescribed_for(parts.store, id)
    if reading is None or prescribed is None or prescribed.date != date or prescribed.code not in reading.placed:
        raise HTTPException(404)
    return reading, prescribed
