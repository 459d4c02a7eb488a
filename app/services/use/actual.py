"""What the Floor recorded of a day that is over, as figures: the same sums as of a plan, and how near it kept to it."""

import datetime
from collections.abc import Iterator, Mapping

from app.clock import local_minute
from app.services.floor.events import standing
from app.services.floor.reading import Reading
from app.services.floor.remaining import phase_due
from app.services.floor.state import PartRun, PhaseRun
from solver.late.actual import Given, Stretch, actual_day
from solver.late.batteries import batteries
from solver.late.kept_to import joined, kept_to, turnarounds
from solver.report.sums import Sums, day_sums
from solver.visits import Part

Moment = datetime.datetime


def actual_sums(reading: Reading, treatments: Mapping[str, str]) -> Sums:
    """``record`` has one row, ``all``: how near the day kept to its plan; rows of treatments say that too.

    ``batteries``: how long each lasted, by unit. A part that nobody ended has the minutes that were prescribed from
    where it was last heard of. ``treatments``: by visit.
    """
    placed = reading.placed
    runs = {
        (code, number): run
        for code, visit in reading.state.visits.items()
        if code in placed
        for number, run in visit.parts.items()
    }
    given = {key: _given(reading, *key, run) for key, run in runs.items()}
    missed = {code for code in placed if reading.state.visit(code).missed or reading.status.get(code) == "noshow"}
    unended = [key for key, run in runs.items() if run.over is None]
    day, plan = actual_day(reading.day, reading.plan, given)
    kept = kept_to(reading.day, reading.plan, given, missed, unended)
    sums = day_sums(day, plan, treatments)
    sums["treatments"] = {
        treatment: {**row, **joined(one for code, one in kept.items() if treatments.get(code, "") == treatment)}
        for treatment, row in sums["treatments"].items()
    }
    record = {**joined(kept.values()), **turnarounds(day, plan)}
    return {**sums, "record": {"all": record}, "batteries": batteries(day, plan, _empties(reading))}


def _empties(reading: Reading) -> dict[str, list[int]]:
    """By unit, the minutes at which its battery was said to be empty."""
    said: dict[str, list[int]] = {}
    for event in standing(reading.events):
        if event.kind == "battery_empty":
            said.setdefault(event.detail["unit"], []).append(_minute(reading, event.at))
    return said


def _given(reading: Reading, code: str, number: int, run: PartRun) -> Given:
    part = reading.day.visit_by_id[code].parts[number]
    stretches = [
        Stretch(phase, _minute(reading, end) - _minute(reading, start), paused, reading.hands(code, number, phase))
        for phase, one in enumerate(run.phases)
        for start, end, paused in _stretches(one, _ended(part, run, one))
    ]
    if run.over is None:
        rest = range(len(run.phases), len(part.phases))
        stretches += [Stretch(i, part.phases[i].minutes, False, reading.hands(code, number, i)) for i in rest]
    return Given(_minute(reading, run.started), tuple(one for one in stretches if one.minutes > 0))


def _ended(part: Part, run: PartRun, phase: PhaseRun) -> Moment:
    """When the phase was over; of one that nobody ended, when its minutes were, counted from the last that was said."""
    if phase.ended is not None:
        return phase.ended
    heard = max([phase.began, *(pause.until or pause.since for pause in phase.pauses)])
    return max(heard, phase_due(part, run, heard))


def _stretches(phase: PhaseRun, ended: Moment) -> Iterator[tuple[Moment, Moment, bool]]:
    """From when to when it went on, and was paused. A pause that nobody ended takes no time."""
    since = phase.began
    for pause in phase.pauses:
        until = pause.until or pause.since
        yield since, pause.since, False
        yield pause.since, until, True
        since = until
    yield since, ended, False


def _minute(reading: Reading, moment: Moment) -> int:
    return local_minute(moment, reading.date, reading.zone)
