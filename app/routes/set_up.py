"""The Set-up room: all that is set up on one page, and the forms of the clinic itself."""

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any
from urllib.parse import urlencode
from zoneinfo import available_timezones

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.routes.forms import Fields, Form
from app.routes.pages import page
from app.routes.parts import parts_of
from app.routes.set_up_saving import Groups, SetUpForm, busy_words, known_of, save, show
from app.services.setup.clinic_changes import RemoveClosure, SaveClinic, SaveClosure, SaveOpening
from app.services.setup.filled import filled_set_up
from app.services.setup.forms import WEEKDAYS, ClinicForm, ClosureForm, OpeningForm
from app.services.setup.starting_points import starting_points
from app.services.setup.work import Change
from app.services.treatments.naming import treatments_naming
from app.views.set_up import clinic_groups, closure_groups, opening_groups
from app.views.set_up_list import set_up_list

router = APIRouter(prefix="/set-up")


@router.api_route("", methods=["GET", "HEAD"])
def show_set_up(request: Request, done: str = "") -> Response:
    """``done``: a key of DONE, what was saved just before."""
    store = parts_of(request).store
    set_up, naming = filled_set_up(store), treatments_naming(store)
    starts = [(point.title, _start(point.key)) for point in starting_points()]
    view = set_up_list(asdict(set_up), starts, naming, done=done, busy=busy_words(request))
    return page(request, "set_up", "Set-up", view=view)


@router.api_route("/clinic", methods=["GET", "HEAD"])
def clinic_form(request: Request) -> Response:
    set_up = filled_set_up(parts_of(request).store)
    form = _form("The clinic", "clinic", clinic_groups, asdict(set_up.clinic), str(set_up.version))
    return show(request, form, known_of(set_up, sorted(available_timezones())))


@router.post("/clinic")
def save_clinic(request: Request, fields: Form) -> Response:
    names = ("name", "time_zone", "step_min", "move_min", "bay_turnover_min", "aims", "what_to_bring")
    sent = ClinicForm(**{name: fields[name] for name in names})
    change = SaveClinic(form=sent, read=fields.version("read"))
    return _save(request, "The clinic", "clinic", clinic_groups, asdict(sent), change, fields)


@router.api_route("/opening", methods=["GET", "HEAD"])
def opening_form(request: Request) -> Response:
    set_up = filled_set_up(parts_of(request).store)
    form = _form("Opening hours", "opening", opening_groups, asdict(set_up.opening), str(set_up.version))
    return show(request, form, known_of(set_up))


@router.post("/opening")
def save_opening(request: Request, fields: Form) -> Response:
    sent = OpeningForm(hours=tuple(fields[f"hours[{i}]"] for i in range(len(WEEKDAYS))))
    change = SaveOpening(form=sent, read=fields.version("read"))
    values = asdict(sent)
    return _save(request, "Opening hours", "opening", opening_groups, values, change, fields)


@router.api_route("/closure", methods=["GET", "HEAD"])
def closure_form(request: Request) -> Response:
    set_up = filled_set_up(parts_of(request).store)
    values = {"date": parts_of(request).clock().date().isoformat()}
    return show(request, _form("A closure", "closure", closure_groups, values, str(set_up.version)), known_of(set_up))


@router.post("/closure")
def save_closure(request: Request, fields: Form) -> Response:
    sent = ClosureForm(date=fields["date"], reason=fields["reason"])
    change = SaveClosure(form=sent, read=fields.version("read"))
    values = asdict(sent)
    return _save(request, "A closure", "closure", closure_groups, values, change, fields)


@router.post("/closure/remove")
def remove_closure(request: Request, fields: Form) -> Response:
    change = RemoveClosure(date=fields["date"], read=fields.version("read"))
    more = (("date", fields["date"]),)
    return _save(request, "Open on that date", "closure/remove", lambda *_: (), {}, change, fields, more)


def _save(
    request: Request,
    title: str,
    under: str,
    groups: Groups,
    values: Mapping[str, Any],
    change: Change,
    fields: Fields,
    more: tuple[tuple[str, str], ...] = (),
) -> Response:
    known = known_of(filled_set_up(parts_of(request).store))
    return save(request, _form(title, under, groups, values, fields["read"], more), known, change, fields)


def _form(
    title: str,
    under: str,
    groups: Groups,
    values: Mapping[str, Any],
    read: str,
    more: tuple[tuple[str, str], ...] = (),
) -> SetUpForm:
    return SetUpForm(
        title=title,
        lead="",
        action=f"/set-up/{under}",
        back=f"/set-up#{'closures' if under.startswith('closure') else under}",
        groups=groups,
        values=values,
        read=read,
        more=more,
        done=under.replace("/", "-"),
    )


def _start(key: str) -> str:
    return f"/set-up/unit/form?{urlencode({'start': key})}"
