"""What the reader asked to see, as it stands in the address, and the addresses that change one thing of it."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from urllib.parse import urlencode

from app.typed import whole
from app.views.gaps import gap_stem
from app.views.parts import Planned, PlannedPart, part_key
from app.views.scale import ZOOMS
from app.views.words import length
from solver.clock import parse_clock
from solver.problem import Day


@dataclass(frozen=True, slots=True)
class Choices:
    """The page's query. Empty texts ask for everything; ``zoom`` is the minutes that fill the width, 0 the whole day.

    ``part``: the part or gap that the panel opens with. ``patient`` is the number of a patient in the day's list from
    1, so that no address holds a name.
    """

    unit: str = ""
    place: str = ""
    staff: str = ""
    patient: str = ""
    zoom: int = 0
    at: str = ""
    part: str = ""
    table: bool = False

    @property
    def now(self) -> int | None:
        return parse_clock(self.at)

    def address(self, day: Day, under: str = "", **changes: str | int | bool) -> str:
        """The address of this view with some of its choices changed; ``under``: of a thing below the day's page."""
        asked = asdict(replace(self, **changes))  # type: ignore[arg-type]
        asked["as"] = "table" if asked.pop("table") else ""
        query = urlencode({name: value for name, value in asked.items() if value})
        return f"/day/{day.date.isoformat()}{under}" + (f"?{query}" if query else "")


def choices(query: Mapping[str, str], day: Day) -> Choices:
    """Read a query; a value the day does not know is dropped, as if it had not been asked for."""
    zoom = whole(query.get("zoom", ""))
    return Choices(
        unit=_known(query.get("unit", ""), day.unit_by_id),
        place=_known(query.get("place", ""), day.place_by_id),
        staff=_known(query.get("staff", ""), day.staff_by_id),
        patient=_known(query.get("patient", ""), numbered_patients(day)),
        zoom=zoom if zoom in ZOOMS else 0,
        at=query.get("at", "") if parse_clock(query.get("at", "")) is not None else "",
        part=_known_mark(query.get("part", ""), day),
        table=query.get("as", "") == "table",
    )


def _known(value: str, ids: Mapping[str, object]) -> str:
    return value if value in ids else ""


def _known_mark(key: str, day: Day) -> str:
    """The key of a part of the day or of a gap on one of its channels; else empty."""
    if any(key == part_key(visit.id, part.id) for visit in day.visits for part in visit.parts):
        return key
    for unit in day.units:
        for channel in unit.channels:
            stem = gap_stem(unit, channel)
            if key.startswith(stem) and key[len(stem) :].isdecimal() and len(key) <= len(stem) + 4:
                return key
    return ""


def numbered_patients(day: Day) -> dict[str, str]:
    """Every patient of the day under a number from 1, by name."""
    return {str(i): name for i, name in enumerate(sorted({visit.patient for visit in day.visits}), 1)}


def wanted(planned: Planned, chosen: Choices) -> frozenset[str]:
    """The keys of the parts that the filter asks for."""
    patient = numbered_patients(planned.day).get(chosen.patient, "")
    return frozenset(part.key for part in planned.parts if _asked(part, chosen, patient))


def _asked(part: PlannedPart, chosen: Choices, patient: str) -> bool:
    return (
        chosen.unit in ("", part.placed.unit)
        and chosen.place in ("", part.placed.place)
        and (not chosen.staff or chosen.staff in part.placed.hands)
        and patient in ("", part.visit.patient)
    )


@dataclass(frozen=True, slots=True)
class Option:
    value: str
    text: str
    chosen: bool


@dataclass(frozen=True, slots=True)
class Filter:
    """One drop-down of the filter: its field name, label, options with ``""`` for all first."""

    name: str
    label: str
    options: tuple[Option, ...]


@dataclass(frozen=True, slots=True)
class Link:
    text: str
    address: str
    current: bool
    value: str = ""


def filters(day: Day, chosen: Choices) -> tuple[Filter, ...]:
    def one(name: str, label: str, all_text: str, values: Mapping[str, str], now: str) -> Filter:
        every = Option("", all_text, not now)
        return Filter(name, label, (every, *(Option(id, text, id == now) for id, text in values.items())))

    return (
        one("unit", "Unit", "all units", {unit.id: unit.name for unit in day.units}, chosen.unit),
        one("place", "Place", "all places", {place.id: place.name for place in day.places}, chosen.place),
        one("staff", "Staff", "all staff", {member.id: member.name for member in day.staff}, chosen.staff),
        one("patient", "Patient", "all patients", numbered_patients(day), chosen.patient),
    )


def filter_words(every: tuple[Filter, ...]) -> str:
    """What the filters ask for, in a few words; empty where they ask for all."""
    return ", ".join(option.text for one in every for option in one.options if option.chosen and option.value)


def zoom_links(day: Day, chosen: Choices) -> tuple[Link, ...]:
    """From the whole day down to half an hour, without the steps that are longer than the day."""
    span = day.close - day.open
    return tuple(
        Link(
            length(zoom) if zoom else "whole day",
            chosen.address(day, zoom=zoom),
            zoom == chosen.zoom,
            str(zoom),
        )
        for zoom in ZOOMS
        if zoom < span
    )


def unit_links(day: Day, chosen: Choices) -> tuple[Link, ...]:
    """The picker of one unit at a time, for narrow screens."""
    return tuple(
        Link(unit.name, chosen.address(day, unit=unit.id), unit.id == chosen.unit, unit.id) for unit in day.units
    )
