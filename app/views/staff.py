"""Staff through the day: hands-on, free to watch, break, absent; and the watch of all, needed against possible."""

from dataclasses import dataclass

from app.views.parts import Planned, PlannedPart
from app.views.scale import Scale, Span, outside, stretches
from app.views.words import short_name
from solver.clinic import StaffMember
from solver.clock import Interval, clock
from solver.masks.bits import minutes_of, span, union


@dataclass(frozen=True, slots=True)
class Hand:
    """A phase that somebody has their hands on. ``key``: its part."""

    at: int
    minutes: int
    key: str
    visit: str
    short: str
    quiet: bool
    label: str


@dataclass(frozen=True, slots=True)
class StaffRow:
    """``free``: in, not on a break, hands free to watch. ``absent``: outside their hours."""

    id: str
    name: str
    kind: str
    watch: str
    hands: tuple[Hand, ...]
    free: tuple[Span, ...]
    breaks: tuple[Span, ...]
    absent: tuple[Span, ...]
    hands_min: int
    label: str


@dataclass(frozen=True, slots=True)
class WatchRow:
    """Unattended running parts against the watch possible, as SVG paths in minutes to the right and parts downwards
    from ``top``. ``least_free`` is the lowest of possible − needed over the minutes with something to watch."""

    top: int
    needed: str
    possible: str
    least_free: int | None
    least_at: str
    peak_needed: int
    label: str


def staff_rows(planned: Planned, quiet: frozenset[str], only: str | None) -> tuple[StaffRow, ...]:
    """One row per staff member; ``quiet``: keys of parts the filter does not ask for; ``only``: show this member."""
    return tuple(_row(planned, member, quiet) for member in planned.day.staff if only in (None, member.id))


def _row(planned: Planned, member: StaffMember, quiet: frozenset[str]) -> StaffRow:
    day, scale = planned.day, Scale.of(planned.day)
    busy = _hands_of(planned, member)
    breaks = _breaks_of(planned, member)
    free = stretches(_in(planned, member) & ~_busy(planned, member))
    minutes = sum(interval.minutes for _, interval in busy)
    return StaffRow(
        id=member.id,
        name=member.name,
        kind=member.kind,
        watch=f"watches {member.watch_free}, {member.watch_busy} with busy hands" if member.watch_free else "no watch",
        hands=tuple(_hand(part, interval, scale, quiet, member) for part, interval in busy),
        free=tuple(scale.span(stretch) for stretch in free) if member.watch_free else (),
        breaks=tuple(scale.span(interval) for interval in breaks),
        absent=tuple(scale.span(interval) for interval in outside(day, member.hours)),
        hands_min=minutes,
        label=f"{member.name}, {member.kind}: {minutes} minutes hands-on, "
        f"breaks {', '.join(str(interval) for interval in breaks) or 'none'}",
    )


def _hand(part: PlannedPart, interval: Interval, scale: Scale, quiet: frozenset[str], member: StaffMember) -> Hand:
    drawn = scale.span(interval)
    return Hand(
        at=drawn.at,
        minutes=drawn.minutes,
        key=part.key,
        visit=part.visit.id,
        short=short_name(part.visit.patient),
        quiet=part.key in quiet,
        label=f"{member.name}: {part.visit.patient}, {interval}",
    )


def _hands_of(planned: Planned, member: StaffMember) -> list[tuple[PlannedPart, Interval]]:
    return sorted(
        ((part, interval) for part in planned.parts for _, interval, hands in part.phases() if hands == member.id),
        key=lambda pair: pair[1],
    )


def _breaks_of(planned: Planned, member: StaffMember) -> list[Interval]:
    return sorted(Interval(b.start, b.end) for b in planned.plan.breaks if b.staff == member.id)


def _in(planned: Planned, member: StaffMember) -> int:
    """The minutes of the day that the member is in and not on a break; bit t is minute t from midnight."""
    hours, breaks = (union(span(*one) for one in every) for every in (member.hours, _breaks_of(planned, member)))
    return hours & ~breaks & span(planned.day.open, planned.day.close)


def _busy(planned: Planned, member: StaffMember) -> int:
    """The minutes that the member has their hands on a phase."""
    return union(span(*interval) for _, interval in _hands_of(planned, member))


def watch_levels(planned: Planned) -> list[tuple[int, int]]:
    """(needed, possible) for every minute from open to close, by the contract's rule ``watch``."""
    day = planned.day
    needed = [0] * (day.close - day.open)
    possible = [0] * (day.close - day.open)
    for part in planned.parts:
        for phase, interval, _ in part.phases():
            if phase.unattended:
                for minute in range(*interval):
                    needed[minute - day.open] += 1
    for member in day.staff:
        here, busy = _in(planned, member), _busy(planned, member)
        for minutes, watched in ((here & busy, member.watch_busy), (here & ~busy, member.watch_free)):
            for minute in minutes_of(minutes):
                possible[minute - day.open] += watched
    return list(zip(needed, possible, strict=True))


def watch_row(planned: Planned) -> WatchRow:
    day = planned.day
    levels = watch_levels(planned)
    top = max([1, *(max(pair) for pair in levels)])
    watched = [(possible - needed, i) for i, (needed, possible) in enumerate(levels) if needed]
    least, at = min(watched, default=(None, 0))
    peak = max((needed for needed, _ in levels), default=0)
    least_at = clock(day.open + at) if least is not None else ""
    return WatchRow(
        top=top,
        needed=_steps([needed for needed, _ in levels], top) + f"V{top}H0Z",
        possible=_steps([possible for _, possible in levels], top),
        least_free=least,
        least_at=least_at,
        peak_needed=peak,
        label=(
            "Nothing runs unattended today"
            if least is None
            else f"At most {peak} unattended at once; least free watch {least} at {least_at}"
        ),
    )


def _steps(values: list[int], top: int) -> str:
    """An SVG path that holds each value for its minute, upwards from ``top``."""
    path, last = f"M0 {top - values[0]}" if values else f"M0 {top}", values[0] if values else 0
    for i, value in enumerate(values):
        if value != last:
            path += f"H{i}V{top - value}"
            last = value
    return f"{path}H{len(values)}"
