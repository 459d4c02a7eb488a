"""The Openings page's words: when, where, with whom, how far from what was wished, and what stands in the way."""

import datetime
from collections.abc import Iterable, Mapping, Sequence

from app.views.forms import Option
from app.views.openings import ReasonLine, Strip
from app.views.openings_ask import LENGTHS
from app.views.words import counted, length, listed
from solver.called import called
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
    held = [f"{name}{f', booked just now by {actor}' if actor else ''}" for name, actor in holders]
    return ReasonLine(
        rule=RULE_WORDS[rule],
        what=called(day, rule, resource) or resource,
        until=f"{clock(times[0])}–{clock(times[1])}",
        holders=listed(held),
        text="" if held else text,
    )


def length_options(chosen: int) -> tuple[Option, ...]:
    words = {1: "one day", 7: "a week", 14: "two weeks", 28: "four weeks"}
    return tuple(Option(value=str(n), text=words[n], chosen=n == chosen) for n in LENGTHS)


def weekday_options(chosen: str) -> tuple[Option, ...]:
    return tuple(Option(value=str(n), text=DAYS[n], chosen=str(n) in chosen) for n in range(7))
