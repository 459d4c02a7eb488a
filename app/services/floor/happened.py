"""From the Floor's events to what the solver is told of a day that runs: in whole minutes of the day's clock."""

import datetime
import math

from app.clock import local_minute
from app.services.floor.cleaning import freed
from app.services.floor.reading import Reading
from app.services.floor.remaining import phase_due
from app.services.floor.state import OutOfUse, PartRun
from solver.clock import Interval
from solver.late import Happened, Ran
from solver.visits import Part

Moment = datetime.datetime


def happened(reading: Reading, now: Moment) -> Happened:
    """All that happened by ``now``. A visit whose time went by without a word is taken for one that is over."""
    state, minute = reading.state, local_minute(now, reading.date, reading.zone)
    let_go = freed(reading)
    coming = [code for code in reading.placed if not reading.is_there(code)]
    return Happened(
        now=minute,
        ran={
            (code, number): _ran(reading, code, number, part, now)
            for code, run in state.visits.items()
            if code in reading.placed
            for number, part in run.parts.items()
        },
        not_before={code: wanted for code in coming if (wanted := state.visit(code).expected) is not None},
        over=frozenset(code for code in reading.placed if reading.is_over(code) or reading.is_lapsed(code, now)),
        gone={unit: span for unit, out in state.out.items() if (span := _span(reading, out, minute)) is not None},
        away={staff: span for staff, out in state.away.items() if (span := _span(reading, out, minute)) is not None},
        aside=frozenset(state.aside),
        clean=frozenset(item for item, at in state.clean.items() if item in let_go and at >= let_go[item]),
    )


def _ran(reading: Reading, code: str, number: int, run: PartRun, now: Moment) -> Ran:
    part: Part = reading.day.visit_by_id[code].parts[number]
    begin = local_minute(run.started, reading.date, reading.zone)
    ends = [local_minute(phase.ended, reading.date, reading.zone) for phase in run.phases if phase.ended is not None]
    if run.over is None:
        due = max(now, phase_due(part, run, now))
        last = ends[-1] if ends else begin
        ends.append(max(last, local_minute(_whole_minute(due), reading.date, reading.zone)))
        for phase in part.phases[run.phase + 1 :]:
            ends.append(ends[-1] + phase.minutes)
    minutes = tuple(end - start for start, end in zip([begin, *ends], ends, strict=False))
    hands = {phase: who for (of, phase), who in reading.state.visit(code).hands.items() if of == number}
    return Ran(start=begin, phases=minutes, phase=run.phase, over=run.over is not None, hands=hands)


def _whole_minute(moment: Moment) -> Moment:
    """The moment, or the next whole minute after it."""
    return datetime.datetime.fromtimestamp(math.ceil(moment.timestamp() / 60) * 60, tz=datetime.UTC)


def _span(reading: Reading, out: OutOfUse, now: int) -> Interval | None:
    since = local_minute(out.since, reading.date, reading.zone)
    until = reading.day.close if out.until is None else out.until
    return Interval(since, until) if since < until and now < until else None
