"""The end of a day on the Floor: what was given, signed by who gave it; printable."""

import datetime
import uuid

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import HTMLResponse, JSONResponse, RedirectResponse, Response

from app.routes.access import may, signed_in
from app.routes.asked import AskedDate
from app.routes.faults import as_lines
from app.routes.floor import PRESSING, instant_now, new_key
from app.routes.floor_render import local_time, visit_address
from app.routes.forms import Form
from app.routes.pages import page
from app.routes.parts import parts_of
from app.services.fhir.export import bundle_of_day
from app.services.floor.handover import Handover, PartGiven, VisitGiven, handover, left_open
from app.services.floor.pressing import Press, press
from app.services.floor.reading import Reading
from app.typed import whole
from app.views.dates import spoken
from app.views.floor_handover import OUTCOME_WORDS, PartLine, VisitLine, minutes
from app.views.words import listed
from solver.errors import InputError

router = APIRouter(prefix="/floor/{day}/handover")
MOST_AT_ONCE = 200


@router.api_route("", methods=["GET", "HEAD"])
def show_handover(request: Request, date: AskedDate) -> HTMLResponse:
    return _page(request, date)


@router.api_route("/fhir.json", methods=["GET", "HEAD"])
def fhir(request: Request, date: AskedDate) -> Response:
    """The day as FHIR resources. 404 where no plan of it is kept."""
    parts = parts_of(request)
    if parts.floor.read(date) is None:
        raise HTTPException(404)
    bundle = bundle_of_day(parts.store, parts.floor, date, instant_now(request))
    return JSONResponse(
        bundle,
        media_type="application/fhir+json",
        headers={"Content-Disposition": f'attachment; filename="channelday-{date.isoformat()}-fhir.json"'},
    )


@router.post("")
def sign(request: Request, date: AskedDate, form: Form) -> Response:
    """Sign the visits that were ticked, or all of whoever signs, each with the note.

    422 where one cannot be; those before it are signed.
    """
    parts, key = parts_of(request), form["key"]
    who, now = signed_in(request).name, instant_now(request)
    visits = _mine(request, date) if form["mine"] else form.all("visit")[:MOST_AT_ONCE]
    try:
        space = uuid.UUID(key)
        for visit in visits:
            made = Press(
                key=str(uuid.uuid5(space, visit)), kind="signed", visit=whole(visit), texts={"note": form["note"]}
            )
            press(parts.store, parts.floor, date, made, actor=who, clock=lambda: now)
    except InputError as error:
        return _page(request, date, 422, as_lines(error))
    except ValueError:
        return _page(request, date, 422, ("this is no key of a press; load the page again",))
    return RedirectResponse(f"/floor/{date.isoformat()}/handover", 303)


def _mine(request: Request, date: datetime.date) -> list[str]:
    """The visits that whoever is signed in may sign: theirs, and those that had no therapist of their own."""
    reading, staff = parts_of(request).floor.read(date), signed_in(request).staff
    if reading is None or not staff:
        return []
    own = (one for one in handover(reading, instant_now(request)).visits if one.may_be_signed)
    return [str(reading.row_ids[one.code]) for one in own if reading.placed[one.code].therapist in (staff, None)]


def _page(request: Request, date: datetime.date, status: int = 200, faults: tuple[str, ...] = ()) -> HTMLResponse:
    parts, now = parts_of(request), instant_now(request)
    reading = parts.floor.read(date)
    if reading is None:
        return page(request, "no_floor", "Floor", status, title=spoken(date), date=date.isoformat())
    found: Handover = handover(reading, now)
    may_sign = may(signed_in(request), PRESSING)
    return page(
        request,
        "floor_handover",
        "Floor",
        status,
        title=spoken(date),
        address=f"/floor/{date.isoformat()}",
        visits=tuple(_line(reading, one) for one in found.visits),
        open_count=len(found.open_visits),
        waiting=sum(one.may_be_signed for one in found.visits),
        aside=found.aside,
        out=tuple(reading.day.unit_by_id[unit].name for unit in found.out if unit in reading.day.unit_by_id),
        earlier=left_open(parts.store, parts.floor, date, now),
        may_sign=may_sign,
        has_own=bool(signed_in(request).staff),
        new_key=new_key,
        may_export=may(signed_in(request), "GET /floor/{day}/handover/fhir.json"),
        faults=faults,
    )


def _line(reading: Reading, one: VisitGiven) -> VisitLine:
    decision = ""
    if one.decision is not None:
        word = "go ahead" if one.decision.go else "not now"
        decision = f"{local_time(reading, one.decision.at)} {one.decision.by}: {word}"
        decision += f" ({one.decision.note})" if one.decision.note else ""
    signed = ""
    if one.signed is not None:
        by, at, note = one.signed
        signed = f"{by}, {at.astimezone(reading.zone):%Y-%m-%d %H:%M}{f': {note}' if note else ''}"
    return VisitLine(
        address=visit_address(reading, one.code),
        id=reading.row_ids[one.code],
        name=one.patient,
        therapist=one.therapist,
        outcome=OUTCOME_WORDS[one.outcome],
        decision=decision,
        parts=tuple(_part(reading, part) for part in one.parts),
        signed=signed,
        may_sign=one.may_be_signed,
        is_open=one.is_open,
    )


def _part(reading: Reading, part: PartGiven) -> PartLine:
    run = part.run
    if run is None:
        given = "not given"
    elif run.over is None:
        given = f"runs since {local_time(reading, run.started)}"
    else:
        word = "stopped" if run.how == "stopped" else "ended"
        why = f": {run.reason}" if run.reason else ""
        given = f"{local_time(reading, run.started)}–{local_time(reading, run.over)}, {word}{why}"
    pauses = f", and {minutes(part.paused)} of pauses" if part.paused else ""
    return PartLine(
        what=listed(part.outputs),
        prescribed=minutes(part.prescribed),
        ran="" if run is None else f"{minutes(part.ran)}{pauses}",
        given=given,
        notes=tuple(
            f"{local_time(reading, said.at)} {said.kind} {said.when}".strip() + f": {said.text}" for said in part.said
        ),
    )
