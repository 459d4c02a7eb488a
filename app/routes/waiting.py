"""The waiting list: who waits, and who fits what became free on a date."""

from urllib.parse import parse_qs, urlencode

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import RedirectResponse, Response

from app.errors import StaleRecordError
from app.routes.access import may, signed_in
from app.routes.forms import Fields, Form
from app.routes.pages import page
from app.routes.parts import parts_of
from app.routes.patient_choosing import find_to_choose, make_and_choose
from app.routes.row_ids import RowId
from app.services.patients import read_patient
from app.services.visits.gaps import free_gaps
from app.services.visits.waiting import WaitingForm, change, put_on, take_off, waited_for, waiting_choices, waiting_list
from app.typed import date_of, whole
from app.views.dates import spoken
from app.views.openings_ask import Ask, ask_hours, clock_typed
from app.views.patient_choosing import ChosenPatient, FoundPatients
from app.views.waiting import WEEKDAYS, fit_lines, free_words
from solver.clock import clock
from solver.errors import InputError

router = APIRouter(prefix="/waiting")


@router.api_route("", methods=["GET", "HEAD"])
def show_waiting(request: Request, date: str = "", change: str = "", patient: str = "") -> Response:
    """``date``: whose free minutes are shown, today's where it is none. ``change``: the id of the entry in the form;
    ``patient``: of whoever is to be put on the list.
    """
    return _page(request, date=date, changing=change, given=WaitingForm(patient=patient) if patient else None)


@router.post("")
def add(request: Request, form: Form) -> Response:
    """422, with the form as it was filled in."""
    given = _form(form)
    try:
        put_on(parts_of(request).store, given, actor=signed_in(request).name)
    except InputError as error:
        return _page(request, 422, date=form["date"], given=given, faults=_faults(error))
    return RedirectResponse(_address(form["date"]), 303)


@router.post("/find")
def find(request: Request, form: Form) -> Response:
    """Patients whose name or code begins as typed. The name is in no address; one who is alone is chosen at once."""
    date = _date_along(form)
    return find_to_choose(
        request,
        form,
        lambda id: _address(date, patient=str(id)),
        lambda found: _page(request, date=date, found=found),
        room="/waiting",
    )


@router.post("/patient")
def make(request: Request, form: Form) -> Response:
    """A new patient in place, and on to what they wait for."""
    date = _date_along(form)
    try:
        return make_and_choose(request, form, lambda id: _address(date, patient=str(id)))
    except InputError as error:
        what = "; ".join(f"{fault.what}; {fault.right}" for fault in error.faults)
        return _page(request, 422, date=date, faults={"patient": what})


@router.get("/{id}/book")
def book(request: Request, id: RowId, date: str = "", at: str = "") -> Response:
    """On to the Openings room, for whoever waits, what they wait for and when they can come; booked there, they are off
    the list. ``date`` and ``at``: the start that is chosen already. 404 where nobody waits.
    """
    wanted = waited_for(parts_of(request).store, id)
    if wanted is None:
        raise HTTPException(404)
    after, before = ask_hours(wanted.hours)
    ask = Ask(
        patient=str(wanted.patient_id),
        what=f"t{wanted.treatment_id}" if wanted.course_id is None else f"c{wanted.course_id}",
        weekdays="".join(str(day) for day in wanted.weekdays),
        after=after,
        before=before,
        therapist=wanted.therapist,
        waiting=str(id),
        date=date if date_of(date) and clock_typed(at) else "",
        at=clock_typed(at) if date_of(date) else "",
    )
    return RedirectResponse(ask.address(), 303)


@router.post("/{id}")
def change_entry(request: Request, id: RowId, form: Form) -> Response:
    given = _form(form)
    try:
        change(parts_of(request).store, id, given, read=form.version("read"), actor=signed_in(request).name)
    except InputError as error:
        return _page(request, 422, date=form["date"], changing=str(id), given=given, faults=_faults(error))
    except StaleRecordError as error:
        return _page(request, 409, date=form["date"], changing=str(id), given=given, faults={"waiting": str(error)})
    return RedirectResponse(_address(form["date"]), 303)


@router.post("/{id}/off")
def off(request: Request, id: RowId, form: Form) -> Response:
    take_off(parts_of(request).store, id, read=form.version("read"), actor=signed_in(request).name)
    return RedirectResponse(_address(form["date"]), 303)


def _page(
    request: Request,
    status: int = 200,
    *,
    date: str = "",
    changing: str = "",
    given: WaitingForm | None = None,
    faults: dict[str, str] | None = None,
    found: FoundPatients | None = None,
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
    given = given or WaitingForm()
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
        date_words=spoken(shown),
        asked_date=date if date_of(date) else "",
        without=_address(date) + "#form",
        changes={line.id: _address(date, change=str(line.id)) + "#form" for line in lines},
        changing=one,
        given=given,
        patient=_chosen(request, given.patient, _address(date) + "#form"),
        found=found,
        faults=faults or {},
        treatments=treatments,
        therapists=therapists,
        weekdays=list(enumerate(WEEKDAYS)),
        may_change=may(signed_in(request), "POST /waiting"),
    )


def _address(date: str = "", **asked: str) -> str:
    """Of the page, with the date that was asked for."""
    query = urlencode({**({"date": date} if date_of(date) else {}), **asked})
    return f"/waiting?{query}" if query else "/waiting"


def _date_along(form: Fields) -> str:
    """The date that the page showed, or that stood in its field, when a patient was looked for."""
    return parse_qs(form["ask"]).get("date", [""])[0]


def _chosen(request: Request, id: str, change: str) -> ChosenPatient | None:
    try:
        found = read_patient(parts_of(request).store, whole(id) or 0)
    except InputError:
        return None
    return ChosenPatient(id=found.id, name=found.name, code=found.code, change=change) if found.name else None


def _form(form: Fields) -> WaitingForm:
    texts = {name: form[name] for name in ("patient", "treatment", "priority", "hours", "therapist", "note")}
    return WaitingForm(**texts, weekdays=tuple(form.all("weekdays")))


def _faults(error: InputError) -> dict[str, str]:
    return {fault.where.split("[")[0]: f"{fault.what}; {fault.right}" for fault in error.faults}
