"""A form judged: it becomes a piece of a day file, and the day file's own reader says what is wrong with it."""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from app.queries.set_up_reading import Kind, SetUp
from app.queries.set_up_writing import AnyThing
from app.services.setup.forms import WEEKDAYS, ApplicatorForm, MemberForm, PlaceForm, ThingForm, UnitForm
from app.services.setup.texts import breaks, intervals, listed, number, watts
from app.services.setup.wording import word_faults
from solver.clinic import Break, StaffMember
from solver.clock import Interval
from solver.errors import Fault, InputError
from solver.reading.clinic_reader import APPLICATOR, MEMBER, PLACE, UNIT
from solver.reading.day_reader import DAY_FORMAT, read_day_value
from solver.reading.faults import Faults
from solver.reading.stand_ins import SOME_DATE

Document = dict[str, Any]
LISTS: Mapping[Kind, str] = {"place": "places", "unit": "units", "applicator": "applicators", "staff": "staff"}
_KINDS: Mapping[Kind, Any] = {"place": PLACE, "unit": UNIT, "applicator": APPLICATOR, "staff": MEMBER}
_NAMED = re.compile(r"\b(places|units|applicators|staff)\[(\d+)\]\S*|\bchannels\[\d+\]\.id")


@dataclass(frozen=True, slots=True)
class Judged:
    """``hours`` and ``breaks`` by weekday, of staff only."""

    thing: AnyThing
    document: Document
    hours: Mapping[int, Sequence[Interval]]
    breaks: Mapping[int, Sequence[Break]]


def kind_of(form: ThingForm) -> Kind:
    kinds: Mapping[type, Kind] = {
        PlaceForm: "place",
        UnitForm: "unit",
        ApplicatorForm: "applicator",
        MemberForm: "staff",
    }
    return kinds[type(form)]


def judged(form: ThingForm, set_up: SetUp) -> Judged:
    """What the form says, beside all else that is in use. Raises InputError with every fault, by field."""
    kind = kind_of(form)
    document, field = _document(form)
    faults = word_faults(form)
    blamed = {fault.where for fault in faults}
    beside = (_by_field(fault, field) for fault in faults_beside(kind, document, set_up))
    faults += [fault for fault in beside if fault.where not in blamed]
    hours: dict[int, Sequence[Interval]] = {}
    dues: dict[int, Sequence[Break]] = {}
    if isinstance(form, UnitForm):
        faults += _unit_faults(form)
    if isinstance(form, MemberForm):
        faults += _weekly(form, hours, dues)
    if faults:
        raise InputError(faults)
    return Judged(_KINDS[kind].read(Faults(), "", document), document, hours, dues)


def faults_beside(kind: Kind, document: Document, set_up: SetUp) -> list[Fault]:
    """The faults of a piece of a day file beside everything else that is in use, seen from the piece."""
    day: Document = {
        "format": DAY_FORMAT,
        "date": SOME_DATE.isoformat(),
        "open": "00:00",
        "close": "24:00",
        "visits": [],
    }
    codes = {}
    for other, key in LISTS.items():
        there = [thing for thing in set_up.in_use(other) if (other, thing.code) != (kind, document["id"])]
        codes[key] = [thing.code for thing in there]
        extra: Document = {"hours": []} if other == "staff" else {}
        day[key] = [{**thing.document, **extra} for thing in there]
    place = len(day[LISTS[kind]])
    day[LISTS[kind]].append(document)
    try:
        read_day_value(day)
    except InputError as error:
        prefix = f"{LISTS[kind]}[{place}]."
        mine = [fault for fault in error.faults if fault.where.startswith(prefix)]
        return [
            Fault(fault.where.removeprefix(prefix), _named(fault.what, codes), _named(fault.right, codes))
            for fault in mine
        ]
    return []


def _named(text: str, codes: Mapping[str, Sequence[str]]) -> str:
    """``places[0].bays[1]`` in a sentence is the place's code; what is past the others is the form itself."""

    def name(found: re.Match[str]) -> str:
        of, number = (codes[found[1]], int(found[2])) if found[1] else ((), 0)
        return of[number] if number < len(of) else "an earlier entry of this form"

    return _NAMED.sub(name, text)


def _by_field(fault: Fault, field: Callable[[str], str]) -> Fault:
    return Fault(field(fault.where), fault.what, fault.right)


def _document(form: ThingForm) -> tuple[Document, Callable[[str], str]]:
    """The form as a piece of a day file, and from a place in that to the field of the form."""
    named = {"id": form.code, "name": form.name.strip() or form.code}
    match form:
        case PlaceForm():
            return {**named, "bays": listed(form.bays), "tags": listed(form.tags)}, _plain
        case ApplicatorForm():
            fits = {"fits": listed(form.fits)} if listed(form.fits) else {}
            turnaround = number(form.turnaround_min)
            return {**named, "items": listed(form.items), **fits, "turnaround_min": turnaround}, _plain
        case MemberForm():
            watch = {"watch_free": number(form.watch_free), "watch_busy": number(form.watch_busy)}
            skills = {"kind": form.kind, "skills": listed(form.skills)}
            return {**named, **skills, "hours": [], "breaks": [], **watch}, _plain
        case UnitForm():
            return _unit(form, named)


def _plain(where: str) -> str:
    key = re.split(r"[.\[]", where, maxsplit=1)[0]
    return "code" if key == "id" else key


def _rows(form: UnitForm) -> list[tuple[int, str, str]]:
    """The rows of channels that say anything, with their numbers in the form."""
    count = max(len(form.channel_id), len(form.channel_drives))
    ids, drives = ([*texts, *[""] * count][:count] for texts in (form.channel_id, form.channel_drives))
    return [(i, id.strip(), of) for i, (id, of) in enumerate(zip(ids, drives, strict=True)) if id.strip() or of.strip()]


def _unit(form: UnitForm, named: Document) -> tuple[Document, Callable[[str], str]]:
    rows = _rows(form)
    document = {
        **named,
        "channels": [{"id": id, "drives": listed(drives)} for _, id, drives in rows],
        "patients_at_once": number(form.patients_at_once),
        "places": listed(form.places),
        "battery": None if form.on_mains else _battery(form),
    }

    def field(where: str) -> str:
        channel = re.match(r"channels\[(\d+)\](?:\.(\w+))?", where)
        if channel:
            return f"channel_{channel[2] or 'id'}[{rows[int(channel[1])][0]}]"
        if where == "channels":
            return "channel_id[0]"
        return _plain(where.removeprefix("battery."))

    return document, field


def _battery(form: UnitForm) -> Document:
    optional = {"start_pct": 100, "pump_w": 0, "min_charge_min": 15}
    keys = ("capacity_wh", "start_pct", "reserve_pct", "standby_w", "draw_w", "pump_w", "charge_w", "min_charge_min")
    battery: Document = {}
    for key in keys:
        text: str = getattr(form, key)
        battery[key] = watts(text) if key == "draw_w" else optional.get(key, "") if not text.strip() else number(text)
    return battery


def _unit_faults(form: UnitForm) -> list[Fault]:
    faults = []
    if not listed(form.places):
        faults.append(Fault("places", "the unit stands nowhere", "tick at least one place; make one first if need be"))
    for i, id, drives in _rows(form):
        if not id:
            faults.append(Fault(f"channel_id[{i}]", "the channel has no name", "give a short one, such as s1"))
        if not listed(drives):
            right = "give its outputs, such as ultrasound, or pads, cups"
            faults.append(Fault(f"channel_drives[{i}]", "the channel drives nothing", right))
    return faults


def _weekly(form: MemberForm, hours: dict[int, Sequence[Interval]], dues: dict[int, Sequence[Break]]) -> list[Fault]:
    """Weekly hours and breaks into the two mappings; the faults of what is not."""
    faults = [
        Fault(field, f"there are {len(getattr(form, field))} texts", "give seven, Monday first")
        for field in ("hours", "breaks")
        if len(getattr(form, field)) != len(WEEKDAYS)
    ]
    if faults:
        return faults
    for weekday in range(len(WEEKDAYS)):
        of_day = {"hours": intervals(form.hours[weekday]), "breaks": breaks(form.breaks[weekday])}
        found = Faults()
        member: StaffMember = MEMBER.read(found, "", {"id": "-", "kind": "therapist", **of_day})
        faults += [Fault(f"{_plain(f.where)}[{weekday}]", f.what, f.right) for f in found.found]
        if not found.found:
            hours[weekday], dues[weekday] = member.hours, member.breaks
            faults += [
                Fault(f"breaks[{weekday}]", f"{due.minutes} minutes do not fit in {due.between}", "give it more room")
                for due in member.breaks
                if due.minutes > due.between.minutes
            ]
    return faults


def clinic_faults(document: Document) -> list[Fault]:
    """The faults of keys of a day file that hold for the whole clinic, such as its step."""
    day: Document = {"format": DAY_FORMAT, "date": SOME_DATE.isoformat(), "open": "00:00", "close": "24:00"}
    day |= {key: [] for key in (*LISTS.values(), "visits")}
    try:
        read_day_value({**day, **document})
    except InputError as error:
        return [_by_field(fault, _plain) for fault in error.faults if _plain(fault.where) in document]
    return []
