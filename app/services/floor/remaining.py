"""How long a part that runs still takes, and when it is expected to be over."""

import datetime

from app.services.floor.state import PartRun
from solver.visits import Part

Moment = datetime.datetime


def phase_left(part: Part, run: PartRun, now: Moment) -> float:
    """Seconds until the phase it is in has had its minutes; below 0 where it has had more."""
    return part.phases[run.phase].minutes * 60 - run.phases[-1].seconds(now)


def seconds_left(part: Part, run: PartRun, now: Moment) -> float:
    """Seconds until all its phases have had their minutes, if it runs on from now; 0 for one that is over."""
    if run.over is not None:
        return 0.0
    after = sum(phase.minutes for phase in part.phases[run.phase + 1 :])
    return max(0.0, phase_left(part, run, now)) + after * 60


def phase_due(part: Part, run: PartRun, now: Moment) -> Moment:
    """When the phase it is in has had its minutes, if it runs on from now."""
    return now + datetime.timedelta(seconds=phase_left(part, run, now))


def part_due(part: Part, run: PartRun, now: Moment) -> Moment:
    """When the part is over, if it runs on from now; when it was, for one that is."""
    return run.over or now + datetime.timedelta(seconds=seconds_left(part, run, now))
