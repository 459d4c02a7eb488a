"""Patients: found, made, changed; their courses and their own treatments."""

from collections.abc import Mapping
from typing import Any, Literal

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import RedirectResponse, Response

from app.errors import StaleRecordError
from app.routes.access import may, signed_in, who_is_in
from app.routes.faults import by_field
from app.routes.forms import Fields, Form
from app.routes.pages import by_htmx, fragment, page
from app.routes.parts import parts_of
from app.routes.patient_meant import patient_meant
from app.routes.row_ids import AskedRowId, RowId
from app.services.accounts import staff_choices
from app.services.courses import change_course, courses_of_patient, end_course, prescribe
from app.services.patients import change_patient, find_patients, make_patient
from app.services.treatments.catalogue import find_treatments
from app.services.treatments.for_patient import treatments_of_patient
from app.typed import date_of
from app.views.courses import course_groups, course_lines
from app.views.forms import FormView
from solver.errors import InputError

router = APIRouter(prefix="/patients")
A_PAGE = 50


@router.api_route("", methods=["GET", "HEAD"])
def show_patients(request: Request, after: AskedRowId = 0) -> Response:
    """All of them by name. They are looked for by ``POST /patients/find``, so that no address holds a name."""
    return _list(request, "", after)


@router.post("/find")
def find(request: Request, fields: Form) -> Response:
    """Those whose name or code begins as typed: a fragment for htmx, else the page."""
    if by_htmx(request):
        found = find_patients(parts_of(request).store, fields["typed"], most=A_PAGE)
        return fragment(request, "patient_rows", patients=found)
    return _list(request, fields["typed"], 0)


@router.post("")
def make(request: Request, fields: Form) -> Response:
    given = {name: fields[name] for name in ("name", "phone", "note")}
    try:
        made = make_patient(parts_of(request).store, **given, actor=signed_in(request).name)
    except InputError as error:
        return _list(request, "", 0, status=422, given=given, faults=by_field(error))
    return RedirectResponse(f"/patients/{made.id}", 303)


@router.api_route("/{id}", methods=["GET", "HEAD"])
def show_patient(request: Request, id: RowId) -> Response:
    return _patient(request, id)


@router.post("/{id}")
def change(request: Request, id: RowId, fields: Form) -> Response:
    given = {name: fields[name] for name in ("name", "phone", "note")}
    read = fields.number("read") or 0
    try:
        change_patient(parts_of(request).store, id, **given, read=read, actor=signed_in(request).name)
    except InputError as error:
        return _patient(request, id, status=422, given={**given, "read": fields["read"]}, faults=by_field(error))
    except StaleRecordError as error:
        return _patient(request, id, status=409, said=str(error))
    return RedirectResponse(f"/patients/{id}", 303)


@router.api_route("/{id}/course", methods=["GET", "HEAD"])
def course_form(request: Request, id: RowId, course: AskedRowId | None = None) -> Response:
    """The form of a course; of a new one without ``course``."""
    patient_meant(request, id)
    lines = courses_of_patient(parts_of(request).store, id)
    found = next((line for line in lines if line.id == course), None)
    if course is not None and found is None:
        raise HTTPException(404)
    empty = {"sessions": "", "least_days": "", "most_days": "", "priority": "1", "prescribed_by": ""}
    form = {**found.form, "treatment": str(found.treatment_id)} if found else empty
    read = str(found.version) if found else ""
    return _course_form(request, id, form, course, read)


@router.post("/{id}/course")
def save_course(request: Request, id: RowId, fields: Form) -> Response:
    store, actor = parts_of(request).store, signed_in(request).name
    form = _sent_course(fields)
    course = fields.number("course")
    try:
        if course is None:
            today = parts_of(request).clock().date()
            on = date_of(fields["prescribed_on"]) or today
            prescribe(store, id, fields.number("treatment") or 0, form, prescribed_on=on, actor=actor)
        else:
            change_course(store, course, form, read=fields.number("read") or 0, actor=actor)
    except InputError as error:
        shown = {**form, "treatment": fields["treatment"]}
        return _course_form(request, id, shown, course, fields["read"], status=422, faults=by_field(error))
    except StaleRecordError as error:
        shown = {**form, "treatment": fields["treatment"]}
        return _course_form(request, id, shown, course, fields["read"], status=409, faults={"course": str(error)})
    return RedirectResponse(f"/patients/{id}", 303)


@router.post("/{id}/course/end")
def end(request: Request, id: RowId, fields: Form) -> Response:
    store, actor = parts_of(request).store, signed_in(request).name
    how: Literal["finished", "ended"] = "finished" if fields["status"] == "finished" else "ended"
    try:
        end_course(store, fields.number("course") or 0, how, read=fields.number("read") or 0, actor=actor)
    except StaleRecordError as error:
        return _patient(request, id, status=409, said=str(error))
    return RedirectResponse(f"/patients/{id}", 303)


def _list(
    request: Request,
    typed: str,
    after: int,
    *,
    status: int = 200,
    given: Mapping[str, str] | None = None,
    faults: Mapping[str, str] | None = None,
) -> Response:
    after = max(0, min(after, 10**9))
    found = find_patients(parts_of(request).store, typed, most=A_PAGE + 1, after=after)
    return page(
        request,
        "patients",
        "Patients",
        status,
        patients=found[:A_PAGE],
        typed=typed,
        older=f"/patients?after={after + A_PAGE}" if len(found) > A_PAGE and not typed else "",
        given=given or {"name": "", "phone": "", "note": ""},
        faults=faults or {},
        may_change=may(who_is_in(request), "POST /patients"),
    )


def _patient(
    request: Request,
    id: RowId,
    *,
    status: int = 200,
    given: Mapping[str, str] | None = None,
    faults: Mapping[str, str] | None = None,
    said: str = "",
) -> Response:
    store = parts_of(request).store
    patient = patient_meant(request, id)
    texts = {"name": patient.name, "phone": patient.phone, "note": patient.note, "read": str(patient.version)}
    return page(
        request,
        "patient",
        "Patients",
        status,
        patient=patient,
        given=given or texts,
        faults=faults or {},
        said=said,
        courses=course_lines(courses_of_patient(store, id)),
        own=treatments_of_patient(store, id),
        catalogue=find_treatments(store),
        may_change=may(who_is_in(request), "POST /patients"),
        may_book=may(who_is_in(request), "GET /openings/course"),
        may_prescribe=may(who_is_in(request), "POST /patients/{id}/course"),
    )


def _course_form(
    request: Request,
    id: RowId,
    form: Mapping[str, Any],
    course: int | None,
    read: str,
    *,
    status: int = 200,
    faults: Mapping[str, str] | None = None,
) -> Response:
    store = parts_of(request).store
    own = {str(line.id): f"{line.name} (for this patient)" for line in treatments_of_patient(store, id)}
    ready = {str(line.id): line.name for line in find_treatments(store)}
    groups = course_groups(form, faults or {}, {**own, **ready}, staff_choices(store), new=course is None)
    hidden = [("read", read), ("course", "" if course is None else str(course))]
    if course is not None:
        hidden.append(("treatment", str(form.get("treatment", ""))))
    name = patient_meant(request, id).name
    view = FormView(
        title=f"{'A course' if course is None else 'The course'} for {name}",
        lead="A treatment, how often, and how many days from one session to the next, as the clinician prescribes.",
        action=f"/patients/{id}/course",
        back=f"/patients/{id}",
        save="Save",
        hidden=tuple(hidden),
        groups=groups,
        faults=tuple(text for where, text in (faults or {}).items() if where in ("course", "patient")),
    )
    return page(request, "plain_form", "Patients", status, form=view, trail=("Patients", "/patients"))


def _sent_course(fields: Fields) -> dict[str, Any]:
    starts, ends = fields["hours_from"], fields["hours_to"]
    return {
        **{key: fields[key] for key in ("sessions", "least_days", "most_days", "priority", "prescribed_by")},
        "weekdays": fields.all("weekdays"),
        "hours": [[starts or "00:00", ends or "24:00"]] if starts or ends else [],
        "therapist": fields["therapist"],
    }
