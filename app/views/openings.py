"""The Openings page: what its templates read."""

import datetime
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from app.views.cautions import Questions
from app.views.forms import Option
from app.views.openings_ask import LENGTHS, Ask
from app.views.openings_drawn import Drawn
from app.views.words import counted, length, listed
from solver.clock import clock
from solver.names import RuleName
from solver.problem import Day
from solver.schedule import PlacedVisit

RULE_WORDS: Mapping[RuleName, str] = {
    "grid": "Starts are at steps of the clock",
    "hours": "Outside opening or service hours",
    "patient": "The patient is not free then",
    "unit": "No unit that may do it",
    "channels": "No channel is free",
    "patients": "The unit has as many patients as it takes",
    "place": "The unit is elsewhere then",
    "bay": "No bay is free",
    "suction": "Another suction level runs on the unit",
    "applicator": "No applicator item is clean and free",
    "hands": "No hands are free",
    "therapist": "The required therapist cannot",
    "watch": "Nobody could watch it",
    "break": "A break is in the way",
    "battery": "The battery would not last",
    "fixed": "Something is fixed",
}
"""What each rule means where it stands in the way of a start."""
TOLD_WAIT_MIN = 10
"""Shorter waits between parts come of the step of starts and are not worth a word."""
DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


@dataclass(frozen=True, slots=True, kw_only=True)
class OfferLine:
    """A start in the list. ``choose``: the address that draws it. ``notes``: how it differs from what was wished.

    ``book``: what to send to book it at once, where that is offered.
    """

    date: str
    times: str
    where: str
    therapist: str
    notes: str
    choose: str
    title: str = ""
    book: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """A date with its starts as ticks: an SVG path in minutes after opening, ``minutes`` wide and 10 high.

    ``text`` says the same in words; ``address``: of the page for this date alone, empty where nothing can be had.
    """

    date: str
    text: str
    minutes: int
    path: str
    address: str
    is_chosen: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ReasonLine:
    rule: str
    what: str
    until: str
    holders: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WhyView:
    """``said``: in a sentence; ``fits``: the start is an opening, ``choose`` its address."""

    said: str
    fits: bool
    choose: str
    reasons: tuple[ReasonLine, ...]
    nearest: tuple[OfferLine, ...]
    room: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveLine:
    patient: str
    before: str
    after: str
    said: str
    told: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomView:
    """What would have to move. ``hidden``: what to send to accept it; empty where nothing was found."""

    said: str
    offer: OfferLine | None
    moves: tuple[MoveLine, ...]
    hidden: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ChosenView:
    """The start that was chosen, drawn in its day. ``action`` and ``hidden``: where and what to send to book it.
    ``asks``: whether the clinician's answer to the questions goes with it."""

    title: str
    lines: tuple[str, ...]
    action: str
    button: str
    hidden: tuple[tuple[str, str], ...]
    drawn: Drawn
    questions: tuple[Questions, ...]
    asks: bool
    bell: str
    back: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Answers:
    """All that changes as one types. ``said``: how many starts there are, or what is missing.

    ``room_dates``: where nothing fits, dates on which it can be asked what would have to move.
    """

    said: str
    found: bool
    offers: tuple[OfferLine, ...]
    pairs: bool
    strips: tuple[Strip, ...]
    why: WhyView | None
    room: RoomView | None
    room_dates: tuple[tuple[str, str], ...]
    back: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ComingLine:
    text: str
    move: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PatientView:
    """A patient who was chosen. ``coming``: booked visits, each with the address at which it is moved."""

    name: str
    code: str
    change: str
    coming: tuple[ComingLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupOfOptions:
    label: str
    options: tuple[Option, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class AskView:
    """The form. ``whats`` and ``second_whats``: courses and treatments, grouped; ``prescribed``: what a course asks for
    and holds where a field is left empty. ``moving``: which visit is moved; empty where one is booked."""

    ask: Ask
    query: str
    patient: PatientView | None
    second: PatientView | None
    whats: tuple[GroupOfOptions, ...]
    second_whats: tuple[GroupOfOptions, ...]
    first: str
    days: tuple[Option, ...]
    weekdays: tuple[Option, ...]
    therapists: tuple[Option, ...]
    tags: tuple[Option, ...]
    prescribed: str
    moving: str
    may_book: bool
    walk: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What has just been done, or why not. ``undo``: what to send to undo it. ``taken``: who took what; ``nearest``:
    what can be had instead on that date."""

    title: str
    lines: tuple[str, ...]
    undo: tuple[tuple[str, str], ...] = ()
    undo_action: str = ""
    taken: tuple[ReasonLine, ...] = ()
    nearest: tuple[OfferLine, ...] = ()
    is_trouble: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PatientChoice:
    """``address``: of the page with the patient chosen."""

    name: str
    code: str
    address: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundPatients:
    """Those who were found by what was typed. ``who``: patient or second; ``query``: what else is asked for."""

    typed: str
    who: str
    query: str
    patients: tuple[PatientChoice, ...]


def short_date(date: datetime.date) -> str:
    """``Mon 10 Mar``."""
    return f"{DAYS[date.weekday()]} {date.day} {date:%b}"


def times_of(placed: PlacedVisit, lengths: Mapping[str, int]) -> str:
    """``09:00–09:20``: from the first part's start to the last one's end. ``lengths``: minutes of each part."""
    last = placed.parts[-1]
    return f"{clock(placed.parts[0].start)}–{clock(last.start + lengths[last.id])}"


def where_of(day: Day, placed: PlacedVisit) -> str:
    """``Rowan, Front F1``, for each place that the visit is at."""
    there = dict.fromkeys(
        f"{day.unit_by_id[part.unit].name}, {day.place_by_id[part.place].name} bay {part.bay}" for part in placed.parts
    )
    return "; then ".join(there)


def therapist_of(day: Day, placed: PlacedVisit) -> str:
    return "" if placed.therapist is None else day.staff_by_id[placed.therapist].name


def waits_of(placed: PlacedVisit, lengths: Mapping[str, int]) -> int:
    """Minutes that the patient waits between parts."""
    last = placed.parts[-1]
    return last.start + lengths[last.id] - placed.parts[0].start - sum(lengths[part.id] for part in placed.parts)


def notes_of(start: int, wish: int | None, is_wished: bool, wished: str, waits: int) -> str:
    notes = []
    if waits >= TOLD_WAIT_MIN:
        notes.append(f"with {length(waits)} of waiting between")
    if wish is not None and start != wish:
        notes.append(f"{length(abs(start - wish))} {'after' if start > wish else 'before'} the wished start")
    if not is_wished:
        notes.append(f"not with {wished}")
    return ", ".join(notes)


def strip(
    date: datetime.date, opening: tuple[int, int], starts: Sequence[int], said: str, address: str, chosen: bool
) -> Strip:
    """``said``: why there are no starts, where there are none."""
    begin, end = opening
    text = said
    if starts:
        text = f"{counted(len(starts), 'start')}, {clock(starts[0])} to {clock(starts[-1])}"
    return Strip(
        date=short_date(date),
        text=text,
        minutes=max(1, end - begin),
        path="".join(f"M{start - begin} 0V10" for start in starts),
        address=address if starts else "",
        is_chosen=chosen,
    )


def reason_line(
    rule: RuleName, resource: str, times: tuple[int, int], holders: Iterable[tuple[str, str]], text: str, day: Day
) -> ReasonLine:
    """``holders``: each the patient's name, and who booked it since the desk looked."""
    names: dict[str, str] = {unit.id: unit.name for unit in day.units} | {one.id: one.name for one in day.staff}
    names |= {pool.id: pool.name for pool in day.applicators} | {place.id: place.name for place in day.places}
    held = [f"{name}{f', booked just now by {actor}' if actor else ''}" for name, actor in holders]
    return ReasonLine(
        rule=RULE_WORDS[rule],
        what=names.get(resource, resource),
        until=f"{clock(times[0])}–{clock(times[1])}",
        holders=listed(held),
        text="" if held else text,
    )


def length_options(chosen: int) -> tuple[Option, ...]:
    words = {1: "one day", 7: "a week", 14: "two weeks", 28: "four weeks"}
    return tuple(Option(value=str(n), text=words[n], chosen=n == chosen) for n in LENGTHS)


def weekday_options(chosen: str) -> tuple[Option, ...]:
    return tuple(Option(value=str(n), text=DAYS[n], chosen=str(n) in chosen) for n in range(7))
