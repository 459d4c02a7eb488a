"""Treatments: found, read, made, changed; also one patient's own."""

from collections.abc import Mapping, Sequence
from typing import Any

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import RedirectResponse, Response

from app.errors import StaleRecordError
from app.routes.access import may, signed_in, who_is_in
from app.routes.faults import by_field
from app.routes.forms import Fields, Form
from app.routes.pages import page
from app.routes.parts import parts_of
from app.routes.patient_meant import patient_meant
from app.routes.row_ids import AskedRowId
from app.routes.treatment_fields import empty_part, sent_treatment
from app.services.patients import PatientLine
from app.services.setup.filled import filled_set_up
from app.services.setup.texts import listed
from app.services.treatments.catalogue import (
    Asked,
    TreatmentRead,
    find_treatments,
    read_treatment,
    texts_in_use,
    visits_booked_before,
)
from app.services.treatments.for_patient import change_for_patient, set_for_patient
from app.services.treatments.starting_points import LABEL, starting_points
from app.services.treatments.suggestions import SUGGESTIONS
from app.services.treatments.writing import (
    bring_back_treatment,
    change_treatment,
    make_treatment,
    retire_treatment,
)
from app.typed import date_of, whole
from app.views.forms import unplaced
from app.views.treatments import Offered, treatment_groups
from solver.errors import InputError

router = APIRouter(prefix="/treatments")


@router.api_route("", methods=["GET", "HEAD"])
def show_treatments(
    request: Request,
    body_site: str = "",
    output: str = "",
    applicator: str = "",
    channels: str = "",
    text: str = "",
    retired: str = "",
) -> Response:
    """The catalogue, as far as it fits what is asked for."""
    store = parts_of(request).store
    asked = Asked(body_site, output, applicator, whole(channels, digits=3), text, with_retired=bool(retired))
    set_up = filled_set_up(store)
    texts = texts_in_use(store)
    return page(
        request,
        "treatments",
        "Treatments",
        lines=find_treatments(store, asked),
        asked=asked,
        sites=texts.get("body_site", []),
        outputs=texts.get("output", []),
        applicators={one.form.code: one.form.name for one in set_up.applicators if not one.is_retired},
        starts=[form["name"] for form in starting_points()],
        may_change=may(who_is_in(request), "POST /treatments/form"),
    )


@router.api_route("/form", methods=["GET", "HEAD"])
def treatment_form(
    request: Request, id: AskedRowId | None = None, start: AskedRowId | None = None, patient: AskedRowId | None = None
) -> Response:
    """The form of a treatment; of a new one without ``id``. ``patient``: for their own parameters."""
    person = None if patient is None else patient_meant(request, patient)
    if id is not None:
        known = _known(request, id)
        return _form(request, known.form, known, person)
    points = starting_points()
    if start is not None:
        if not 0 <= start < len(points):
            raise HTTPException(404)
        return _form(request, points[start], None, person, lead=LABEL)
    return _form(request, {"name": "", "body_site": "", "same_unit": True, "parts": [empty_part()]}, None, person)


@router.post("/form")
def save_treatment(request: Request, fields: Form) -> Response:
    """Saves the treatment, or gives the form one part more or less. 422 where it is wrong, 409 where it is stale."""
    known = None if (id := fields.number("id")) is None else _known(request, id)
    person = None if (patient := fields.number("patient")) is None else patient_meant(request, patient)
    form = sent_treatment(fields, extra_part="add_part" in fields)
    if "add_part" in fields or "without_part" in fields:
        return _form(request, form, known, person, sent=fields)
    try:
        back = _save(request, form, known, person, fields)
    except InputError as error:
        return _form(request, form, known, person, sent=fields, status=422, faults=by_field(error))
    except StaleRecordError as error:
        return _form(request, form, known, person, sent=fields, status=409, said=(str(error),))
    return RedirectResponse(back, 303)


@router.post("/retire")
def retire(request: Request, fields: Form) -> Response:
    store, actor = parts_of(request).store, signed_in(request).name
    retire_treatment(store, fields.number("id") or 0, read=fields.number("read") or 0, actor=actor)
    return RedirectResponse("/treatments", 303)


@router.post("/back")
def bring_back(request: Request, fields: Form) -> Response:
    store, actor = parts_of(request).store, signed_in(request).name
    bring_back_treatment(store, fields.number("id") or 0, read=fields.number("read") or 0, actor=actor)
    return RedirectResponse("/treatments?retired=yes", 303)


def _save(
    request: Request,
    form: Mapping[str, Any],
    known: TreatmentRead | None,
    person: PatientLine | None,
    fields: Fields,
) -> str:
    """Where to go then."""
    store, actor = parts_of(request).store, signed_in(request).name
    read = fields.number("read") or 0
    if person is not None:
        own = {"prescribed_by": fields["prescribed_by"], "note": fields["note"], "actor": actor}
        on = date_of(fields["prescribed_on"]) or parts_of(request).clock().date()
        if known is not None and known.patient_id == person.id:
            change_for_patient(store, known.id, form, read=read, prescribed_on=on, **own)
        else:
            based_on = 0 if known is None else known.id
            set_for_patient(store, person.id, based_on, form, prescribed_on=on, **own)
        return f"/patients/{person.id}"
    if known is None:
        make_treatment(store, form, actor=actor)
    else:
        change_treatment(store, known.id, form, read=read, actor=actor)
    return "/treatments"


def _form(
    request: Request,
    form: Mapping[str, Any],
    known: TreatmentRead | None,
    person: PatientLine | None,
    *,
    sent: Fields | None = None,
    status: int = 200,
    faults: Mapping[str, str] | None = None,
    said: Sequence[str] = (),
    lead: str = "",
) -> Response:
    parts = parts_of(request)
    today = parts.clock().date()
    own = known is not None and known.patient_id is not None
    prescribed = {
        "prescribed_by": sent["prescribed_by"] if sent else (known.prescribed_by if own and known else ""),
        "prescribed_on": sent["prescribed_on"] if sent else today.isoformat(),
        "note": sent["note"] if sent else (known.note if own and known else ""),
    }
    groups = treatment_groups(form, faults or {}, _offered(request))
    of_parts = [group for part in groups.parts for group in part]
    beside = ("prescribed_by", "prescribed_on", "note")
    other = {where: text for where, text in (faults or {}).items() if where not in beside}
    rest = unplaced(other, (groups.head, *of_parts))
    return page(
        request,
        "treatment_form",
        "Treatments",
        status,
        groups=groups,
        known=known,
        person=person,
        prescribed=prescribed,
        faults=faults or {},
        said=(*said, *rest),
        read=sent["read"] if sent else ("" if known is None else str(known.edition)),
        lead=lead,
        older=visits_booked_before(parts.store, known.id, today) if known else [],
        may_change=may(who_is_in(request), "POST /treatments/form"),
    )


def _offered(request: Request) -> Offered:
    store = parts_of(request).store
    set_up = filled_set_up(store)
    suggest: dict[str, list[tuple[str, str, str]]] = {}
    for one in SUGGESTIONS:
        suggest.setdefault(one.field, []).append((one.output, one.text, one.source))
    skills = {skill for member in set_up.staff for skill in listed(getattr(member.form, "skills", ""))}
    return Offered(
        units={one.form.code: one.form.name for one in set_up.units if not one.is_retired},
        applicators={one.form.code: one.form.name for one in set_up.applicators if not one.is_retired},
        skills=sorted(skills),
        texts={**texts_in_use(store), "skill": sorted(skills)},
        suggest=suggest,
    )


def _known(request: Request, id: int) -> TreatmentRead:
    """Raises 404 where there is none."""
    try:
        return read_treatment(parts_of(request).store, id)
    except InputError:
        raise HTTPException(404) from None
