"""Patients and staff from CSV: chosen, looked at, brought in."""

import base64
import binascii
from typing import Literal

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import RedirectResponse, Response

from app.errors import StaleRecordError
from app.routes.access import signed_in
from app.routes.forms import Form
from app.routes.pages import page
from app.routes.parts import parts_of
from app.routes.set_up_saving import broken_visits
from app.services.csv_in import patients, staff
from app.services.csv_in.preview import Preview
from app.services.setup.changing import BreaksVisitsError, Effects, save_change
from solver.errors import InputError

What = Literal["patients", "staff"]
router = APIRouter(prefix="/set-up/csv/{what}")
_COLUMNS = {"patients": patients.COLUMNS, "staff": staff.COLUMNS}


@router.api_route("", methods=["GET", "HEAD"])
def choose(request: Request, what: What) -> Response:
    return _page(request, what)


@router.post("")
def preview(request: Request, what: What, fields: Form) -> Response:
    """What the file would bring in; nothing is kept. 422 where it cannot be read at all."""
    content = fields.file("file")
    if content is None:
        return _page(request, what, status=422, faults=("file: none was chosen; choose a CSV file",))
    return _previewed(request, what, content)


@router.post("/bring-in")
def bring_in(request: Request, what: What, fields: Form) -> Response:
    """Exactly what was shown, or the new preview where the file or the clinic is another by now."""
    try:
        content = base64.b64decode(fields["content"], validate=True)
    except binascii.Error:
        raise HTTPException(400) from None
    store, actor, digest = parts_of(request).store, signed_in(request).name, fields["digest"]
    try:
        if what == "patients":
            patients.bring_in_patients(store, content, digest=digest, actor=actor)
            return RedirectResponse("/patients", 303)
        change = staff.BringInStaff(content=content, digest=digest)
        save_change(store, change, actor=actor, shown=fields["shown"])
        return RedirectResponse("/set-up#staff", 303)
    except StaleRecordError as error:
        return _previewed(request, what, content, status=409, faults=(str(error),))
    except BreaksVisitsError as error:
        return _previewed(request, what, content, status=409, effects=error.effects)


def _previewed(
    request: Request,
    what: What,
    content: bytes,
    *,
    status: int = 200,
    faults: tuple[str, ...] = (),
    effects: Effects | None = None,
) -> Response:
    store = parts_of(request).store
    try:
        found = patients.preview_patients(store, content) if what == "patients" else staff.preview_staff(store, content)
    except InputError as error:
        return _page(request, what, status=422, faults=tuple(str(fault) for fault in error.faults))
    lines = (*faults, *(str(fault) for fault in found.faults))
    return _page(request, what, status=status, faults=lines, found=found, content=content, effects=effects)


def _page(
    request: Request,
    what: What,
    *,
    status: int = 200,
    faults: tuple[str, ...] = (),
    found: Preview | None = None,
    content: bytes = b"",
    effects: Effects | None = None,
) -> Response:
    return page(
        request,
        "csv_in",
        "Set-up",
        status,
        what=what,
        columns=_COLUMNS[what],
        faults=faults,
        found=found,
        content=base64.b64encode(content).decode("ascii"),
        shown=effects.digest if effects else "",
        broken=broken_visits(request, effects) if effects else (),
    )
