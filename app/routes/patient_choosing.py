"""A patient chosen as one types, in every room where one is: by name or code, and by no address."""

from collections.abc import Callable

from fastapi import Request
from fastapi.responses import RedirectResponse, Response

from app.routes.access import may, signed_in
from app.routes.forms import Fields
from app.routes.pages import by_htmx, fragment
from app.routes.parts import parts_of
from app.services.patients import find_patients, make_patient
from app.views.patient_choosing import FoundPatients, PatientChoice

MOST_PATIENTS = 8


def find_to_choose(
    request: Request,
    fields: Fields,
    address: Callable[[int], str],
    shown: Callable[[FoundPatients], Response],
    *,
    room: str,
) -> Response:
    """Those found: a list for htmx; else one who is alone is chosen at once, and the page is shown with several.

    ``address``: of the page with the patient of that id chosen. ``room``: below which the forms of the choice are.
    """
    typed, who = fields["typed"], "second" if fields["who"] == "second" else "patient"
    lines = find_patients(parts_of(request).store, typed, most=MOST_PATIENTS) if typed else []
    choices = tuple(PatientChoice(name=one.name, code=one.code, address=address(one.id)) for one in lines)
    found = FoundPatients(typed=typed, room=room, who=who, query=fields["ask"], patients=choices)
    if by_htmx(request):
        may_make = may(signed_in(request), f"POST {room}/patient")
        return fragment(request, "found_patients", found=found, may_make=may_make)
    return RedirectResponse(choices[0].address, 303) if len(choices) == 1 else shown(found)


def make_and_choose(request: Request, fields: Fields, address: Callable[[int], str]) -> Response:
    """A new patient in place, and on with them chosen. Raises InputError with every fault."""
    actor = signed_in(request).name
    made = make_patient(parts_of(request).store, fields["name"], phone=fields["phone"], actor=actor)
    return RedirectResponse(address(made.id), 303)
