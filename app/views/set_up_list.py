"""All that is set up, as lists."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from app.views.set_up import WEEKDAYS


@dataclass(frozen=True, slots=True, kw_only=True)
class AwayLine:
    """When a unit or a staff member is away. ``id`` and the thing's code say which."""

    id: int
    text: str
    address: str


Naming = Mapping[tuple[str, str], Mapping[int, str]]
"""By kind and code: names by ids of the treatments that name the thing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ThingLine:
    """``facts``: what there is to say of it, in a few words each. ``treatments``: those of the catalogue that name it,
    with their addresses."""

    kind: str
    code: str
    name: str
    version: int
    address: str
    facts: tuple[str, ...]
    is_retired: bool
    away: tuple[AwayLine, ...]
    away_address: str
    treatments: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class KindList:
    """``away``: what one is who is away, and ``away_one`` what such a time is called; both empty where there is no such
    thing. ``starts``: ready-made ones."""

    kind: str
    title: str
    one: str
    help: str
    away: str
    away_one: str
    lines: tuple[ThingLine, ...]
    starts: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SetUpList:
    """``missing``: what a first day still needs, each with the address where it is made. ``done``: where something was
    saved just before, the section that it belongs to, and what is told of it. ``busy``: told while a change is saved.
    """

    clinic: tuple[tuple[str, str], ...]
    opening: tuple[tuple[str, str], ...]
    closures: tuple[tuple[str, str], ...]
    version: int
    kinds: tuple[KindList, ...]
    missing: tuple[tuple[str, str], ...]
    done: tuple[str, str]
    busy: str


OUT, ABSENT = ("out of service", "a time out of service"), ("absent", "an absence")

DONE: Mapping[str, tuple[str, str]] = {
    "clinic": ("clinic", "Saved: the clinic’s figures."),
    "opening": ("opening", "Saved: the opening hours."),
    "closure": ("closures", "Saved: a date on which the clinic does not open."),
    "closure-remove": ("closures", "Saved: the clinic opens on that date after all."),
    **{
        f"{kind}{what}": (kind, f"{said} {one}.")
        for kind, one in (
            ("place", "the place"),
            ("unit", "the unit"),
            ("applicator", "the applicator"),
            ("staff", "the staff member"),
        )
        for what, said in (("", "Saved:"), ("-retire", "Retired:"), ("-back", "Back in use:"))
    },
    "unit-away": ("unit", "Saved: when the unit is out of service."),
    "unit-away-remove": ("unit", "Taken back: the unit is in service then after all."),
    "staff-away": ("staff", "Saved: when the staff member is absent."),
    "staff-away-remove": ("staff", "Taken back: the staff member is there then after all."),
}
"""By the word of an address: the section that was changed, and what is told of it."""


def set_up_list(
    set_up: Mapping[str, Any],
    starts: Sequence[tuple[str, str]],
    naming: Naming,
    *,
    done: str = "",
    busy: str = "",
) -> SetUpList:
    """``set_up``: as forms, as plain values. ``naming``: which treatments name what.

    ``done``: a key of DONE; any other word says nothing.
    """
    clinic = set_up["clinic"]
    return SetUpList(
        clinic=(
            ("Name", clinic["name"]),
            ("Time zone", clinic["time_zone"]),
            ("Step", f"{clinic['step_min']} min"),
            ("Moving a unit", f"{clinic['move_min']} min"),
            ("Bay turnover", f"{clinic['bay_turnover_min']} min"),
            ("Aims", clinic["aims"]),
            ("What to bring", clinic["what_to_bring"] or "nothing said"),
        ),
        opening=tuple(
            (day, hours or "closed") for day, hours in zip(WEEKDAYS, set_up["opening"]["hours"], strict=True)
        ),
        closures=tuple((one["date"], one["reason"]) for one in set_up["closures"]),
        version=set_up["version"],
        kinds=(
            _kind(set_up["places"], "place", "Places", "a place", "Where units stand, with their bays.", naming),
            _kind(set_up["units"], "unit", "Units", "a unit", "With their channels.", naming, OUT, starts),
            _kind(set_up["applicators"], "applicator", "Applicators", "an applicator", "Pools of like items.", naming),
            _kind(set_up["staff"], "staff", "Staff", "a staff member", "With skills and weekly hours.", naming, ABSENT),
        ),
        missing=tuple(_missing(set_up)),
        done=DONE.get(done, ("", "")),
        busy=busy,
    )


def _missing(set_up: Mapping[str, Any]) -> Iterable[tuple[str, str]]:
    if not any(set_up["opening"]["hours"]):
        yield "opening hours", "/set-up/opening"
    for key, word, kind in (
        ("places", "a place", "place"),
        ("units", "a unit", "unit"),
        ("staff", "somebody of the staff", "staff"),
    ):
        if not any(not thing["is_retired"] for thing in set_up[key]):
            yield word, f"/set-up/{kind}/form"


def _kind(
    things: Iterable[Mapping[str, Any]],
    kind: str,
    title: str,
    one: str,
    help: str,
    naming: Naming,
    away: tuple[str, str] = ("", ""),
    starts: Sequence[tuple[str, str]] = (),
) -> KindList:
    lines = tuple(
        ThingLine(
            kind=kind,
            code=thing["form"]["code"],
            name=thing["form"]["name"],
            version=thing["version"],
            address=f"/set-up/{kind}/form?{urlencode({'code': thing['form']['code']})}",
            facts=tuple(_facts(kind, thing["form"])),
            is_retired=thing["is_retired"],
            away=tuple(_away(kind, thing["form"]["code"], one) for one in thing["away"]),
            away_address=f"/set-up/{kind}/away?{urlencode({'code': thing['form']['code']})}" if away[0] else "",
            treatments=tuple(
                (name, f"/treatments/form?id={id}")
                for id, name in naming.get((kind, thing["form"]["code"]), {}).items()
            ),
        )
        for thing in things
    )
    return KindList(
        kind=kind, title=title, one=one, help=help, away=away[0], away_one=away[1], lines=lines, starts=tuple(starts)
    )


def _away(kind: str, code: str, away: Mapping[str, Any]) -> AwayLine:
    form = away["form"]
    note = f" ({form['note']})" if form["note"] else ""
    text = f"{form['from_date']} {form['from_time']} to {form['to_date']} {form['to_time']}{note}"
    return AwayLine(
        id=away["id"], text=text, address=f"/set-up/{kind}/away?{urlencode({'code': code, 'id': away['id']})}"
    )


def _facts(kind: str, form: Mapping[str, Any]) -> Iterable[str]:
    match kind:
        case "place":
            yield f"bays {form['bays']}" if form["bays"] else "no bay"
            if form["tags"]:
                yield form["tags"]
        case "unit":
            yield "; ".join(f"{id}: {of}" for id, of in zip(form["channel_id"], form["channel_drives"], strict=True))
            yield f"up to {form['patients_at_once']} at once"
            yield f"stands at {form['places']}"
            yield "on mains" if form["on_mains"] else f"battery {form['capacity_wh']} Wh"
        case "applicator":
            yield form["items"]
            yield f"turnaround {form['turnaround_min']} min"
            yield f"fits {form['fits']}" if form["fits"] else "fits every unit"
        case "staff":
            yield form["kind"]
            if form["skills"]:
                yield form["skills"]
            yield f"watches {form['watch_free']} with free hands, {form['watch_busy']} with busy ones"
            yield _week(form["hours"])


def _week(hours: Sequence[str]) -> str:
    """``Monday to Friday 08:00-16:00``, days with the same hours in a row put together."""
    runs: list[tuple[int, int, str]] = []
    for i, text in enumerate(hours):
        if runs and runs[-1][2] == text and runs[-1][1] == i - 1:
            runs[-1] = (runs[-1][0], i, text)
        else:
            runs.append((i, i, text))
    days = [
        f"{WEEKDAYS[first]}{f' to {WEEKDAYS[last]}' if last > first else ''} {text}"
        for first, last, text in runs
        if text
    ]
    return "; ".join(days) or "no hours"
