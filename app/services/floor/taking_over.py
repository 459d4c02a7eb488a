"""Who could take a phase over whose therapist was called away: everybody who may, and has free hands."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from app.services.floor.expected import ExpectedPhase, expected_phases
from app.services.floor.may import fault_of_part
from app.services.floor.reading import Reading

Moment = datetime.datetime


@dataclass(frozen=True, slots=True)
class Abandoned:
    """A phase that runs, or is next in a part that runs, in the hands of somebody who is away. ``could``: staff."""

    visit: str
    part: int
    phase: int
    hands: str
    could: tuple[str, ...]


def abandoned(reading: Reading, now: Moment) -> tuple[Abandoned, ...]:
    """Every such phase of the parts that run."""
    phases = expected_phases(reading, now)
    running = {(one.visit, one.part) for one in phases if one.runs}
    return tuple(
        Abandoned(one.visit, one.part, one.phase, one.hands, _could(reading, phases, one, now))
        for one in phases
        if (one.visit, one.part) in running and one.hands is not None and one.hands in reading.state.away
    )


def _could(reading: Reading, phases: Sequence[ExpectedPhase], wanted: ExpectedPhase, now: Moment) -> tuple[str, ...]:
    found = []
    for member in reading.day.staff:
        detail = {"staff": member.id, "phase": wanted.phase}
        if fault_of_part(reading, "taken_over", wanted.visit, wanted.part, detail, now) is not None:
            continue
        meets = (
            one.hands == member.id and one.begin < wanted.end and wanted.begin < one.end
            for one in phases
            if one is not wanted
        )
        if not any(meets):
            found.append(member.id)
    return tuple(found)
