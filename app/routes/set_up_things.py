"""Set-up of places, units, applicators and staff: one form each, retiring and bringing back, times away."""

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any, Literal, cast

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import Response

from app.routes.forms import Fields, Form
from app.routes.parts import parts_of
from app.routes.row_ids import AskedRowId
from app.routes.set_up_saving import SetUpForm, known_of, save, show
from app.services.setup.filled import Filled, FilledSetUp, filled_set_up
from app.services.setup.forms import ApplicatorForm, AwayForm, MemberForm, PlaceForm, ThingForm, UnitForm
from app.services.setup.starting_points import starting_points, unit_from
from app.services.setup.texts import as_list, listed
from app.services.setup.things import BringBack, Retire, SaveThing
from app.services.setup.times_away import AwayKind, RemoveAway, SaveAway
from app.services.setup.work import Change
from app.views.set_up import THINGS, away_groups

Kind = Literal["place", "unit", "applicator", "staff"]
router = APIRouter(prefix="/set-up/{kind}")
_LISTS: Mapping[Kind, str] = {"place": "places", "unit": "units", "applicator": "applicators", "staff": "staff"}
_NEW: Mapping[Kind, ThingForm] = {
    "place": PlaceForm(code=""),
    "unit": UnitForm(code=""),
    "applicator": ApplicatorForm(code=""),
    "staff": MemberForm(code=""),
}
_MOST_ROWS = 50


@router.api_route("/form", methods=["GET", "HEAD"])
def thing_form(request: Request, kind: Kind, code: str = "", start: str = "") -> Response:
    """The form of the thing of the code; of a new one without. ``start``: a starting point of a unit."""
    set_up = filled_set_up(parts_of(request).store)
    lead = ""
    if code:
        known = _known(set_up, kind, code)
        values, read = _values(known.form), str(known.version)
    elif start and kind == "unit":
        point = next((point for point in starting_points() if point.key == start), None)
        if point is None:
            raise HTTPException(404)
        values, read, lead = _values(unit_from(start, code="", places="")), "", point.note
    elif kind == "staff":
        values, read = _values(MemberForm(code="", hours=set_up.opening.hours)), ""
    else:
        values, read = _values(_NEW[kind]), ""
    return show(request, _form(kind, values, read, lead), known_of(set_up))


@router.post("/form")
def save_thing(request: Request, kind: Kind, fields: Form) -> Response:
    set_up = filled_set_up(parts_of(request).store)
    form = _sent(kind, fields)
    read = fields.number("read")
    values = {**_values(form), "code_is_kept": read is not None}
    change = SaveThing(form=form, read=read)
    return save(request, _form(kind, values, fields["read"]), known_of(set_up), change, fields)


@router.post("/retire")
def retire(request: Request, kind: Kind, fields: Form) -> Response:
    change = Retire(kind=kind, code=fields["code"], read=fields.number("read") or 0)
    return _save_plain(request, kind, fields, "retire", f"Retire {fields['code']}", change)


@router.post("/back")
def bring_back(request: Request, kind: Kind, fields: Form) -> Response:
    change = BringBack(kind=kind, code=fields["code"], read=fields.number("read") or 0)
    return _save_plain(request, kind, fields, "back", f"Bring {fields['code']} back", change)


@router.api_route("/away", methods=["GET", "HEAD"])
def away_form(request: Request, kind: AwayKind, code: str, id: AskedRowId | None = None) -> Response:
    """The form of one time away; of a new one without ``id``."""
    set_up = filled_set_up(parts_of(request).store)
    thing = _known(set_up, kind, code)
    today = parts_of(request).clock().date().isoformat()
    form = AwayForm(from_date=today, to_date=today)
    if id is not None:
        found = [away.form for away in thing.away if away.id == id]
        if not found:
            raise HTTPException(404)
        form = found[0]
    return show(request, _away(kind, thing, asdict(form), str(thing.version), id), known_of(set_up))


@router.post("/away")
def save_away(request: Request, kind: AwayKind, fields: Form) -> Response:
    set_up = filled_set_up(parts_of(request).store)
    code, id = fields["code"], fields.number("id")
    thing = _known(set_up, kind, code)
    form = AwayForm(**{key: fields[key] for key in ("from_date", "from_time", "to_date", "to_time", "note")})
    change = SaveAway(kind=kind, code=code, form=form, read=fields.number("read") or 0, id=id)
    shown = _away(kind, thing, asdict(form), fields["read"], id)
    return save(request, shown, known_of(set_up), change, fields)


@router.post("/away/remove")
def remove_away(request: Request, kind: AwayKind, fields: Form) -> Response:
    change = RemoveAway(kind=kind, code=fields["code"], id=fields.number("id") or 0, read=fields.number("read") or 0)
    more = (("id", fields["id"]),)
    return _save_plain(request, kind, fields, "away/remove", "Take the time away back", change, more)


def _save_plain(
    request: Request,
    kind: Kind,
    fields: Fields,
    under: str,
    title: str,
    change: Change,
    more: tuple[tuple[str, str], ...] = (),
) -> Response:
    """A change that has no fields to fill: only what it breaks is ever shown of it."""
    form = SetUpForm(
        title=title,
        lead="",
        action=f"/set-up/{kind}/{under}",
        back=f"/set-up#{kind}",
        groups=lambda *_: (),
        values={},
        read=fields["read"],
        more=(("code", fields["code"]), *more),
        done=f"{kind}-{under.replace('/', '-')}",
    )
    return save(request, form, known_of(filled_set_up(parts_of(request).store)), change, fields)


def _known(set_up: FilledSetUp, kind: Kind, code: str) -> Filled:
    """Raises 404 where there is none."""
    things = cast("tuple[Filled, ...]", getattr(set_up, _LISTS[kind]))
    found = next((thing for thing in things if thing.form.code == code), None)
    if found is None:
        raise HTTPException(404)
    return found


def _values(form: ThingForm) -> dict[str, Any]:
    values = asdict(form)
    values["code_is_kept"] = bool(form.code)
    for name in ("places", "fits"):
        if name in values:
            values[f"{name}_chosen"] = listed(values[name])
    return values


def _form(kind: Kind, values: Mapping[str, Any], read: str, lead: str = "") -> SetUpForm:
    word, groups = THINGS[kind]
    title = f"{word} {values['name'] or values['code']}" if read else f"A new {word.lower()}"
    action, back = f"/set-up/{kind}/form", f"/set-up#{kind}"
    return SetUpForm(
        title=title, lead=lead, action=action, back=back, groups=groups, values=values, read=read, done=kind
    )


def _away(kind: AwayKind, thing: Filled, values: Mapping[str, Any], read: str, id: int | None) -> SetUpForm:
    word = "Out of service" if kind == "unit" else "Absence"
    return SetUpForm(
        title=f"{word}: {thing.form.name or thing.form.code}",
        lead="By the clinic’s clock.",
        action=f"/set-up/{kind}/away",
        back=f"/set-up#{kind}",
        groups=away_groups,
        values=values,
        read=read,
        more=(("code", thing.form.code), ("id", "" if id is None else str(id))),
        done=f"{kind}-away",
    )


def _sent(kind: Kind, fields: Fields) -> ThingForm:
    """The form as it was sent; a row's number stands in its fields' names."""

    def rows(name: str, count: int) -> tuple[str, ...]:
        return tuple(fields[f"{name}[{i}]"] for i in range(count))

    def plain(names: str) -> dict[str, Any]:
        return {name: fields[name] for name in names.split()}

    match kind:
        case "place":
            return PlaceForm(**plain("code name bays tags"))
        case "applicator":
            return ApplicatorForm(**plain("code name items turnaround_min"), fits=as_list(fields.all("fits")))
        case "staff":
            week: dict[str, Any] = {"hours": rows("hours", 7), "breaks": rows("breaks", 7)}
            return MemberForm(**plain("code name kind skills watch_free watch_busy"), **week)
        case "unit":
            count = sum(f"channel_id[{i}]" in fields for i in range(_MOST_ROWS))
            channels: dict[str, Any] = {name: rows(name, count) for name in ("channel_id", "channel_drives")}
            power = plain("on_mains capacity_wh start_pct reserve_pct standby_w draw_w pump_w charge_w min_charge_min")
            places = as_list(fields.all("places"))
            return UnitForm(**plain("code name patients_at_once"), places=places, **channels, **power)
