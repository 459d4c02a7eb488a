"""What is to come if nothing else happens: each phase that runs or is still to be, with its expected times.

What runs goes on from now; what is to start does so at its planned time, not before now, not before its patient is
expected, and not before the part ahead of it is over. How visits push each other is for ``late`` to say.
"""

import datetime
from collections.abc import Iterator
from dataclasses import dataclass

from app.services.floor.reading import Reading
from app.services.floor.remaining import part_due, phase_due
from solver.visits import Phase

Moment = datetime.datetime


@dataclass(frozen=True, slots=True)
class ExpectedPhase:
    """``begin`` and ``end``: as expected. ``hands``: whose; None: nobody's. ``runs``: it was begun, and is not over."""

    visit: str
    part: int
    phase: int
    what: Phase
    begin: Moment
    end: Moment
    hands: str | None
    runs: bool

    @property
    def unattended(self) -> bool:
        return self.what.unattended


def expected_phases(reading: Reading, now: Moment) -> list[ExpectedPhase]:
    """Every phase that is not over, by its expected begin."""
    found = [phase for code in reading.placed for phase in _of_visit(reading, code, now)]
    return sorted(found, key=lambda one: (one.begin, one.visit, one.part, one.phase))


def _of_visit(reading: Reading, code: str, now: Moment) -> Iterator[ExpectedPhase]:
    if reading.is_over(code) or reading.is_lapsed(code, now):
        return
    run = reading.state.visit(code)
    ready = now
    if run.expected is not None and not reading.is_there(code):
        ready = max(ready, reading.instant(run.expected))
    for number, (part, placed) in enumerate(
        zip(reading.day.visit_by_id[code].parts, reading.placed[code].parts, strict=True)
    ):
        started = run.parts.get(number)
        if started is None:
            begin = max(ready, reading.instant(placed.start))
            first = 0
        else:
            ready = max(ready, part_due(part, started, now))
            if started.over is not None:
                continue
            first = started.phase + 1
            begin = phase_due(part, started, now) if started.phase < len(part.phases) else now
            begin = max(begin, now)
            yield ExpectedPhase(
                code,
                number,
                started.phase,
                part.phases[started.phase],
                started.phases[-1].began,
                begin,
                reading.hands(code, number, started.phase),
                True,
            )
        for index in range(first, len(part.phases)):
            end = begin + datetime.timedelta(minutes=part.phases[index].minutes)
            yield ExpectedPhase(
                code, number, index, part.phases[index], begin, end, reading.hands(code, number, index), False
            )
            begin = end
        ready = max(ready, begin)
