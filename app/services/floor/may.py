"""Whether a press may be: what stands in its way, in one line, or nothing.

What cannot be (two parts on one channel, an item that somebody has, two levels of one pump) and what must not be (a
start that nobody decided) is refused. What is only unwise is shown on the board, for the people there to judge.
"""

import datetime
from collections.abc import Iterator, Mapping
from typing import Any

from app.services.floor.events import Event
from app.services.floor.reading import Reading
from app.services.floor.remaining import seconds_left
from app.services.floor.state import PartRun
from solver.clock import clock
from solver.errors import Fault
from solver.schedule import PlacedPart
from solver.visits import Part

Detail = Mapping[str, Any]
OF_VISITS = frozenset({"arrived", "expected", "missed", "decided", "signed"})
OF_PARTS = frozenset(
    {"started", "phase", "set", "comfort", "skin", "paused", "resumed", "ended", "stopped", "taken_over"}
)
OF_THINGS = frozenset({"set_aside", "clean", "out_of_service", "in_service", "battery_empty", "away", "back"})
EARLY_S = 60
"""A part that ends with more than this still to run was ended early, and why is asked for."""


def fault_of_visit(reading: Reading, kind: str, code: str) -> Fault | None:
    """What stands in the way of a press about a whole visit."""
    run = reading.state.visit(code)
    if kind == "signed":
        if run.running is not None:
            return Fault("visit", "a part of it still runs", "end it first")
        return None if run.parts else Fault("visit", "nothing of it was given", "there is nothing to sign")
    if reading.is_over(code):
        return Fault("visit", "nothing more is to come of it", "take back the last step where that was a mistake")
    if kind == "decided":
        return None if reading.is_there(code) else Fault("visit", "the patient has not arrived", "say so first")
    if reading.is_there(code):
        return Fault("visit", "the patient is there already", "take back the last step where that was a mistake")
    return None


def fault_of_part(
    reading: Reading, kind: str, code: str, number: int, detail: Detail, at: datetime.datetime
) -> Fault | None:
    """What stands in the way of a press about a part, whose number counts from 0."""
    if code not in reading.placed:
        return Fault("visit", "the plan has no place for it", "book it on the Openings page first")
    if not 0 <= number < len(reading.day.visit_by_id[code].parts):
        return Fault("part", "the visit has no such part", "take one of its parts")
    run = reading.state.visit(code)
    part = run.parts.get(number)
    if kind == "started":
        return next(_against_a_start(reading, code, number), None)
    if kind in ("comfort", "skin"):
        return None if reading.is_there(code) else Fault("visit", "the patient has not arrived", "say so first")
    if kind == "taken_over":
        return _against_taking_over(reading, code, number, detail)
    if part is None:
        return Fault("part", "it was not started", "start it first")
    if part.over is not None:
        return Fault("part", "it is over", "take back the last step where that was a mistake")
    return _against_going_on(reading, kind, code, number, part, detail, at)


def fault_of_undo(reading: Reading, event: Event) -> Fault | None:
    """What stands in the way of taking back the last press about a visit: a part whose end is taken back runs again."""
    if event.kind not in ("ended", "stopped") or event.visit is None or event.visit not in reading.placed:
        return None
    return next(_against_running_beside(reading, event.visit, event.part or 0), None)


def _against_a_start(reading: Reading, code: str, number: int) -> Iterator[Fault]:
    run, (_, placed) = reading.state.visit(code), reading.part(code, number)
    if not reading.is_there(code):
        yield Fault("visit", "the patient has not arrived", "say so first")
    if reading.next_part(code) != number:
        yield Fault("part", "it is not the next one of the visit", "start the parts in their order, one at a time")
    decision = run.decision
    if decision is None:
        yield Fault("decision", "no clinician has decided", "record the decision first")
    elif not decision.go:
        yield Fault("decision", f"{decision.by} decided: not now", "record another decision first")
    if placed.unit in reading.state.out:
        unit = reading.day.unit_by_id[placed.unit].name
        yield Fault("unit", f"{unit} is out of service", "put it back in service, or move the visit")
    for item in sorted(_names(placed.items)):
        if item in reading.state.aside:
            yield Fault("item", f"{item} is set aside", "say that it is clean, or move the visit")
    yield from _against_running_beside(reading, code, number)


def _against_running_beside(reading: Reading, code: str, number: int) -> Iterator[Fault]:
    """What the part would share with those that run."""
    part, placed = reading.part(code, number)
    for other, running, _ in running_parts(reading):
        theirs, held = reading.part(other, running)
        yield from _shared(part, placed, theirs, held, reading.day.visit_by_id[other].patient)


def _shared(part: Part, placed: PlacedPart, theirs: Part, held: PlacedPart, who: str) -> Iterator[Fault]:
    """What the part would share with another one that runs, for the patient ``who``."""
    right = "end that part first"
    for item in sorted(_names(placed.items) & _names(held.items)):
        yield Fault("item", f"{item} is in use for {who}", right)
    if held.unit != placed.unit:
        return
    for channel in sorted(_names(placed.channels) & _names(held.channels)):
        yield Fault("channel", f"{channel} still runs for {who}", right)
    if len({part.suction_kpa, theirs.suction_kpa} - {None}) > 1:
        yield Fault("suction", f"the pump is set to {theirs.suction_kpa} kPa for {who}", right)


def _names(held: Mapping[str, tuple[str, ...]]) -> set[str]:
    return {name for names in held.values() for name in names}


def running_parts(reading: Reading) -> Iterator[tuple[str, int, PartRun]]:
    """Each part that runs: its visit, its number, and how far it is."""
    for code, run in reading.state.visits.items():
        number = run.running
        if number is not None and code in reading.placed:
            yield code, number, run.parts[number]


def _against_going_on(
    reading: Reading, kind: str, code: str, number: int, run: PartRun, detail: Detail, at: datetime.datetime
) -> Fault | None:
    part, _ = reading.part(code, number)
    if kind == "paused" and run.paused:
        return Fault("part", "it is paused already", "let it go on first")
    if kind == "resumed" and not run.paused:
        return Fault("part", "it is not paused", "there is nothing to let go on")
    if kind == "phase":
        if run.paused:
            return Fault("part", "it is paused", "let it go on first")
        if detail["phase"] != run.phase + 1 or detail["phase"] >= len(part.phases):
            return Fault("phase", "it is not the next one", f"it is in phase {run.phase + 1} of {len(part.phases)}")
    if kind == "ended" and not detail.get("reason") and seconds_left(part, run, at) > EARLY_S:
        return Fault("reason", "it ends before its time", "say why")
    return None


def _against_taking_over(reading: Reading, code: str, number: int, detail: Detail) -> Fault | None:
    visit, (part, placed) = reading.day.visit_by_id[code], reading.part(code, number)
    member, phase = reading.day.staff_by_id[detail["staff"]], detail["phase"]
    if not 0 <= phase < len(part.phases):
        return Fault("phase", "the part has no such phase", f"it has {len(part.phases)}")
    run = reading.state.visit(code).parts.get(number)
    if run is not None and (run.over is not None or phase < run.phase):
        return Fault("phase", "it is over", "take over one that runs or is still to come")
    hands = part.phases[phase].hands
    if hands == "nobody":
        return Fault("phase", "it needs nobody’s hands", "there is nothing to take over")
    if hands == "therapist":
        if member.kind != "therapist":
            return Fault("staff", f"{member.name} is no therapist", "choose a therapist")
        if part.skill is not None and part.skill not in member.skills:
            return Fault("staff", f"{member.name} has not the skill {part.skill}", "choose somebody who has")
        if visit.therapist_must not in (None, member.id):
            return Fault("staff", "the visit must be by another therapist", "ask whoever prescribed it")
    if member.id in reading.state.away:
        return Fault("staff", f"{member.name} is away", "choose somebody who is there")
    start = placed.start + sum(one.minutes for one in part.phases[:phase])
    if not any(hours.start <= start < hours.end for hours in member.hours):
        return Fault("staff", f"{member.name} does not work at {clock(start)}", "choose somebody who does")
    return None
