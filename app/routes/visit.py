"""The page of a visit, its slip and calendar file, and what can be done with it."""

from collections.abc import Callable

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import RedirectResponse, Response

from app.db.store import Store
from app.errors import StaleDayError, StaleRecordError
from app.routes.access import may, signed_in
from app.routes.forms import Fields, Form
from app.routes.pages import page
from app.routes.parts import parts_of
from app.routes.row_ids import RowId
from app.services.visits.about import AboutVisit, about_visit
from app.services.visits.calendars import visit_calendar
from app.services.visits.gaps import fitting_for
from app.services.visits.life import step, take_back, tell
from app.views.dates import spoken
from app.views.visit import REASONS, STATUS_WORDS, STEP_WORDS, slip_text, when_words
from app.views.waiting import fit_lines
from solver.errors import InputError

router = APIRouter(prefix="/visit/{id}")
CALENDAR = "text/calendar; charset=utf-8"


@router.api_route("", methods=["GET", "HEAD"])
def show_visit(request: Request, id: RowId) -> Response:
    return _page(request, id)


@router.api_route("/slip", methods=["GET", "HEAD"])
def show_slip(request: Request, id: RowId) -> Response:
    """404 where the visit has no time."""
    visit = _known(request, id)
    if visit.held is None or not visit.is_there:
        raise HTTPException(404)
    text = slip_text(visit.clinic, visit.date, visit.held.when, visit.held.where, visit.what_to_bring)
    when = when_words(visit.date, visit.held.when)
    return page(request, "slip", "Day", visit=visit, held=visit.held, when=when, text=text)


@router.api_route("/calendar.ics", methods=["GET", "HEAD"])
def calendar(request: Request, id: RowId) -> Response:
    """404 where the visit has no time."""
    file = visit_calendar(parts_of(request).store, id)
    if file is None:
        raise HTTPException(404)
    return Response(
        file, media_type=CALENDAR, headers={"Content-Disposition": f'attachment; filename="appointment-{id}.ics"'}
    )


@router.post("/arrived")
def arrived(request: Request, id: RowId, form: Form) -> Response:
    return _step(request, id, "arrived", form)


@router.post("/fulfilled")
def fulfilled(request: Request, id: RowId, form: Form) -> Response:
    return _step(request, id, "fulfilled", form)


@router.post("/noshow")
def missed(request: Request, id: RowId, form: Form) -> Response:
    return _step(request, id, "noshow", form)


@router.post("/cancelled")
def cancel(request: Request, id: RowId, form: Form) -> Response:
    return _step(request, id, "cancelled", form)


@router.post("/entered-in-error")
def mistaken(request: Request, id: RowId, form: Form) -> Response:
    return _step(request, id, "entered-in-error", form)


@router.post("/told")
def told(request: Request, id: RowId, form: Form) -> Response:
    """The patient was told of the visit as it is."""
    seen, read = form.version("seen"), form.version("read")
    return _done(request, id, lambda store, actor: tell(store, id, seen=seen, read=read, actor=actor))


@router.post("/undo")
def undo(request: Request, id: RowId, form: Form) -> Response:
    return _done(request, id, lambda store, actor: take_back(store, id, seen=form.version("seen"), actor=actor))


def _step(request: Request, id: RowId, status: str, form: Fields) -> Response:
    reason, seen = form["reason"], form.version("seen")
    return _done(
        request, id, lambda store, actor: step(store, id, status, reason, seen=seen, actor=actor), reason=reason
    )


def _done(request: Request, id: RowId, do: Callable[[Store, str], None], reason: str = "") -> Response:
    """What is to be done, done, and the page. 422 where it cannot be and 409 where somebody else was faster, each with
    the reason as it was typed."""
    try:
        do(parts_of(request).store, signed_in(request).name)
    except InputError as error:
        lines = tuple(f"{fault.where}: {fault.what}; {fault.right}" for fault in error.faults)
        return _page(request, id, 422, faults=lines, reason=reason)
    except (StaleRecordError, StaleDayError) as error:
        return _page(request, id, 409, faults=(str(error), "This is how it is now."), reason=reason)
    return RedirectResponse(f"/visit/{id}", 303)


def _page(request: Request, id: RowId, status: int = 200, faults: tuple[str, ...] = (), reason: str = "") -> Response:
    visit, who = _known(request, id), signed_in(request)

    def can(name: str) -> bool:
        return may(who, f"POST /visit/{{id}}/{name}")

    fits = fitting_for(parts_of(request).store, id) if visit.frees else ()
    return page(
        request,
        "visit",
        "Day",
        status,
        visit=visit,
        moved_to=None if visit.moved_to is None else (visit.moved_to[0], spoken(visit.moved_to[1])),
        when="" if visit.held is None else when_words(visit.date, visit.held.when),
        words=STATUS_WORDS,
        steps=[(name, word) for name, word in STEP_WORDS.items() if name in visit.next and can(name)],
        endings=[name for name in ("cancelled", "entered-in-error") if name in visit.next and can(name)],
        may_undo=visit.may_take_back and can("undo"),
        may_tell=visit.is_there and visit.held is not None and not visit.told_is_so and can("told"),
        reasons=REASONS,
        faults=faults,
        reason=reason,
        fits=fit_lines(fits),
    )


def _known(request: Request, id: RowId) -> AboutVisit:
    """Raises 404 where there is no such visit."""
    found = about_visit(parts_of(request).store, id)
    if found is None:
        raise HTTPException(404)
    return found
