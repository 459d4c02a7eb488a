"""The waiting list: who waits, and who fits what became free on a date."""

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import RedirectResponse, Response

from app.routes.access import may, signed_in
from app.routes.forms import Fields, Form
from app.routes.pages import page
from app.routes.parts import parts_of
from app.routes.row_ids import RowId
from app.services.visits.gaps import free_gaps
from app.services.visits.waiting import WaitingForm, change, put_on, take_off, waited_for, waiting_choices, waiting_list
from app.typed import date_of
from app.views.waiting import WEEKDAYS, fit_lines, free_words
from solver.clock import clock
from solver.errors import InputError

router = APIRouter(prefix="/waiting")


@router.api_route("", methods=["GET", "HEAD"])
def show_waiting(request: Request, date: str = "", change: str = "") -> Response:
    """``date``: whose free minutes are shown, today's where it is none. ``change``: the id of the entry in the form."""
    return _page(request, date=date, changing=change)


@router.post("")
def add(request: Request, form: Form) -> Response:
    """422, with the form as it was filled in."""
    given = _form(form)
    try:
        put_on(parts_of(request).store, given, actor=signed_in(request).name)
    except InputError as error:
        return _page(request, 422, given=given, faults=_faults(error))
    return RedirectResponse("/waiting", 303)


@router.get("/{id}/book")
def book(request: Request, id: RowId) -> Response:
    """On to the Openings room, for whoever waits and what they wait for. 404 where nobody does."""
    wanted = waited_for(parts_of(request).store, id)
    if wanted is None:
        raise HTTPException(404)
    patient, treatment = wanted
    return RedirectResponse(f"/openings?patient={patient}&what=t{treatment}", 303)


@router.post("/{id}")
def change_entry(request: Request, id: RowId, form: Form) -> Response:
    given = _form(form)
    try:
        change(parts_of(request).store, id, given, read=form.version("read"), actor=signed_in(request).name)
    except InputError as error:
        return _page(request, 422, changing=str(id), given=given, faults=_faults(error))
    return RedirectResponse("/waiting", 303)


@router.post("/{id}/off")
def off(request: Request, id: RowId, form: Form) -> Response:
    take_off(parts_of(request).store, id, read=form.version("read"), actor=signed_in(request).name)
    return RedirectResponse("/waiting", 303)


def _page(
    request: Request,
    status: int = 200,
    *,
    date: str = "",
    changing: str = "",
    given: WaitingForm | None = None,
    faults: dict[str, str] | None = None,
) -> Response:
    store = parts_of(request).store
    lines, (treatments, therapists) = waiting_list(store), waiting_choices(store)
    shown = date_of(date) or parts_of(request).clock().date()
    one = next((line for line in lines if str(line.id) == changing), None)
    if given is None and one is not None:
        days = tuple(str(day) for day in one.weekdays)
        given = WaitingForm(
            priority=str(one.priority), weekdays=days, hours=one.hours, therapist=one.therapist, note=one.note
        )
    return page(
        request,
        "waiting",
        "Waiting",
        status,
        lines=[(line, free_words(line.weekdays, line.hours), therapists.get(line.therapist, "")) for line in lines],
        gaps=[
            (gap.visit_id, f"{clock(gap.when.start)} to {clock(gap.when.end)}", fit_lines(gap.fits))
            for gap in free_gaps(store, shown)
        ],
        date=shown.isoformat(),
        changing=one,
        given=given or WaitingForm(),
        faults=faults or {},
        treatments=treatments,
        therapists=therapists,
        weekdays=list(enumerate(WEEKDAYS)),
        may_change=may(signed_in(request), "POST /waiting"),
    )


def _form(form: Fields) -> WaitingForm:
    texts = {name: form[name] for name in ("patient", "treatment", "priority", "hours", "therapist", "note")}
    return WaitingForm(**texts, weekdays=tuple(form.all("weekdays")))


def _faults(error: InputError) -> dict[str, str]:
    return {fault.where.split("[")[0]: f"{fault.what}; {fault.right}" for fault in error.faults}
