"""The Openings room: what is asked for, what is found, and whose it is to be."""

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.routes.forms import Form
from app.routes.openings_asked import AskedPage
from app.routes.openings_found import answers
from app.routes.openings_told import chosen_view
from app.routes.pages import by_htmx, fragment, page
from app.routes.patient_choosing import find_to_choose, make_and_choose
from app.views.openings import Told
from app.views.openings_ask import PATH, Ask, ask_of, ask_of_text, faults_of
from app.views.patient_choosing import FoundPatients
from solver.errors import InputError

router = APIRouter(prefix=PATH)


@router.api_route("", methods=["GET", "HEAD"])
def show(request: Request) -> Response:
    """The page; by htmx the answers only, as one types."""
    query = request.query_params
    weekdays = query.getlist("weekday") if "weekday" in query else None
    ask = ask_of(query, weekdays)
    asked = AskedPage(request, ask, faults_of(query, ask))
    if by_htmx(request):
        return fragment(request, "openings_answers", answers=answers(asked), may_book=asked.may_book)
    return _page(asked)


@router.post("/find")
def find(request: Request, fields: Form) -> Response:
    """Patients whose name or code begins as typed. The name is in no address; one who is alone is chosen at once."""
    ask = ask_of_text(fields["ask"])
    return find_to_choose(
        request,
        fields,
        lambda id: _with_patient(ask, fields["who"], id),
        lambda found: openings_page(request, ask, found=found),
        room=PATH,
    )


@router.post("/patient")
def make(request: Request, fields: Form) -> Response:
    """A new patient in place, and on with the booking."""
    ask = ask_of_text(fields["ask"])
    try:
        return make_and_choose(request, fields, lambda id: _with_patient(ask, fields["who"], id))
    except InputError as error:
        faults = tuple(str(fault) for fault in error.faults)
        return openings_page(request, ask, 422, told=Told(title="No patient was made", lines=faults, is_trouble=True))


def openings_page(
    request: Request, ask: Ask, status: int = 200, *, told: Told | None = None, found: FoundPatients | None = None
) -> Response:
    """The whole page."""
    return _page(AskedPage(request, ask), status, told=told, found=found)


def _page(
    asked: AskedPage, status: int = 200, *, told: Told | None = None, found: FoundPatients | None = None
) -> Response:
    ask, chosen = asked.ask, chosen_view(asked)
    if ask.at and chosen is None and told is None and asked.asked is not None:
        told = Told(title="That start is not free any more", lines=("These are.",), is_trouble=True)
    return page(
        asked.request,
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


def _with_patient(ask: Ask, who: str, id: int) -> str:
    if who == "second":
        return ask.address(second=str(id))
    return ask.address(patient=str(id), what="", move="", move_date="", waiting="")
