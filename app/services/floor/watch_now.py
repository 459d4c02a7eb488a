"""Free watch on the Floor: how many more unattended parts the staff who are there could watch, now and soon."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from app.services.floor.expected import ExpectedPhase
from app.services.floor.reading import Reading
from solver.clinic import StaffMember

Moment = datetime.datetime
SOON = datetime.timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class WatchNow:
    """``running``: unattended parts that run now; ``free``: how many more could be watched; ``lowest``: the least of
    that within the hour, first at ``lowest_at``. Below 0: more run, or will, than can be watched."""

    running: int
    free: int
    lowest: int
    lowest_at: Moment


def watch_now(reading: Reading, phases: Sequence[ExpectedPhase], now: Moment) -> WatchNow:
    """By the watch rule, from what is expected; members count who are in their hours, not at a break and not away."""
    paused = {code for code, run in reading.state.visits.items() if any(part.paused for part in run.parts.values())}
    unattended = [one for one in phases if one.unattended and not (one.runs and one.visit in paused)]
    staff = [_Member(reading, member, phases) for member in reading.day.staff]
    moments = {now}
    for one in phases:
        moments |= {one.begin, one.end}
    for member in staff:
        moments |= member.changes
    counted = [(moment, _free(staff, unattended, moment)) for moment in sorted(moments) if now <= moment < now + SOON]
    lowest_at, lowest = min(counted, key=lambda pair: (pair[1], pair[0]))
    running = sum(one.runs for one in unattended)
    return WatchNow(running, counted[0][1], lowest, lowest_at)


def _free(staff: "Sequence[_Member]", unattended: Sequence[ExpectedPhase], moment: Moment) -> int:
    running = sum(one.begin <= moment < one.end or (one.runs and moment <= one.end) for one in unattended)
    return sum(member.watch(moment) for member in staff) - running


class _Member:
    """When a member is there, and when their hands are busy."""

    def __init__(self, reading: Reading, member: StaffMember, phases: Sequence[ExpectedPhase]) -> None:
        self._member = member
        self._hours = [(reading.instant(one.start), reading.instant(one.end)) for one in member.hours]
        breaks = [one for one in reading.plan.breaks if one.staff == member.id]
        self._out = [(reading.instant(one.start), reading.instant(one.end)) for one in breaks]
        away = reading.state.away.get(member.id)
        if away is not None:
            end = reading.day.close if away.until is None else away.until
            self._out.append((away.since, max(away.since, reading.instant(end))))
        self._busy = [(one.begin, one.end) for one in phases if one.hands == member.id]

    @property
    def changes(self) -> set[Moment]:
        return {moment for span in (*self._hours, *self._out) for moment in span}

    def watch(self, moment: Moment) -> int:
        if not _within(self._hours, moment) or _within(self._out, moment):
            return 0
        return self._member.watch_busy if _within(self._busy, moment) else self._member.watch_free


def _within(spans: Sequence[tuple[Moment, Moment]], moment: Moment) -> bool:
    return any(start <= moment < end for start, end in spans)
