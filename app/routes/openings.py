"""The Openings room: what is asked for, what is found, and whose it is to be."""

from collections.abc import Sequence

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response

from app.routes.access import may, signed_in
from app.routes.forms import Form
from app.routes.openings_asked import AskedPage
from app.routes.openings_found import answers
from app.routes.openings_told import chosen_view
from app.routes.pages import by_htmx, fragment, page
from app.routes.parts import parts_of
from app.services.patients import PatientLine, find_patients, make_patient
from app.views.openings import FoundPatients, PatientChoice, Told
from app.views.openings_ask import Ask, ask_of, ask_of_text
from solver.errors import InputError

router = APIRouter(prefix="/openings")
MOST_PATIENTS = 8


@router.api_route("", methods=["GET", "HEAD"])
def show(request: Request) -> Response:
    """The page; by htmx the answers only, as one types."""
    query = request.query_params
    weekdays = query.getlist("weekday") if "weekday" in query else None
    ask = ask_of(query, weekdays)
    if by_htmx(request):
        asked = AskedPage(request, ask)
        return fragment(request, "openings_answers", answers=answers(asked), may_book=asked.may_book)
    return openings_page(request, ask)


@router.post("/find")
def find(request: Request, fields: Form) -> Response:
    """Patients whose name or code begins as typed. The name is in no address; one who is alone is chosen at once."""
    ask, second = ask_of_text(fields["ask"]), fields["who"] == "second"
    typed = fields["typed"]
    lines = find_patients(parts_of(request).store, typed, most=MOST_PATIENTS) if typed else []
    found = _found(ask, second, typed, lines)
    if by_htmx(request):
        may_book = may(signed_in(request), "POST /openings/patient")
        return fragment(request, "openings_patients", found=found, may_book=may_book)
    if len(lines) == 1:
        return RedirectResponse(found.patients[0].address, 303)
    return openings_page(request, ask, found=found)


@router.post("/patient")
def make(request: Request, fields: Form) -> Response:
    """A new patient in place, and on with the booking."""
    ask, second = ask_of_text(fields["ask"]), fields["who"] == "second"
    try:
        made = make_patient(
            parts_of(request).store, fields["name"], phone=fields["phone"], actor=signed_in(request).name
        )
    except InputError as error:
        faults = tuple(str(fault) for fault in error.faults)
        return openings_page(request, ask, 422, told=Told(title="No patient was made", lines=faults, is_trouble=True))
    return RedirectResponse(_with_patient(ask, second, made.id), 303)


def openings_page(
    request: Request, ask: Ask, status: int = 200, *, told: Told | None = None, found: FoundPatients | None = None
) -> Response:
    """The whole page."""
    asked = AskedPage(request, ask)
    chosen = chosen_view(asked)
    if ask.at and chosen is None and told is None and asked.asked is not None:
        told = Told(title="That start is not free any more", lines=("These are.",), is_trouble=True)
    return page(
        request,
        "openings",
        "Openings",
        status,
        asked=asked.view(),
        answers=answers(asked),
        chosen=chosen,
        told=told,
        found=found,
        may_book=asked.may_book,
    )


def _found(ask: Ask, second: bool, typed: str, lines: Sequence[PatientLine]) -> FoundPatients:
    return FoundPatients(
        typed=typed,
        who="second" if second else "patient",
        query=ask.query(),
        patients=tuple(
            PatientChoice(name=one.name, code=one.code, address=_with_patient(ask, second, one.id)) for one in lines
        ),
    )


def _with_patient(ask: Ask, second: bool, id: int) -> str:
    if second:
        return ask.address(second=str(id))
    return ask.address(patient=str(id), what="", move="", move_date="")
