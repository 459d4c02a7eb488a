"""What is free on a coming day: each channel's minutes in service that nothing is booked on, and each pair of hands."""

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from app.queries.capacity import KeptDay
from app.queries.new_days import frame_on, without
from app.queries.set_up_reading import SetUp
from solver.clock import Interval, parse_clock


@dataclass(frozen=True, slots=True)
class Stretch:
    """A channel, or a member of the staff, on one day. ``serves``: the outputs a channel can drive, the hands that a
    member is. ``there``: in service within opening hours, or on duty and not on a break; ``free``: what is left."""

    serves: tuple[str, ...]
    there: tuple[Interval, ...]
    free: tuple[Interval, ...]

    @property
    def there_min(self) -> int:
        return sum(span.minutes for span in self.there)

    @property
    def free_min(self) -> int:
        return sum(span.minutes for span in self.free)

    def free_in(self, block: Interval) -> int:
        return sum(max(0, min(span.end, block.end) - max(span.start, block.start)) for span in self.free)


@dataclass(frozen=True, slots=True)
class FreeDay:
    channels: tuple[Stretch, ...]
    staff: tuple[Stretch, ...]


def free_day(
    set_up: SetUp, kept: KeptDay | None, date: datetime.date, hands_of: Mapping[str, tuple[str, ...]]
) -> FreeDay:
    """The day as it is kept, or as the set-up makes it. ``hands_of``: what hands a member is, by kind."""
    if kept is None:
        kept = _unkept(set_up, date)
    return FreeDay(
        channels=tuple(
            _stretch(tuple(channel["drives"]), hours, kept.opening, (), kept.held.get((unit["id"], channel["id"]), ()))
            for unit, hours in kept.units
            for channel in unit["channels"]
        ),
        staff=tuple(
            _stretch(hands_of[member["kind"]], hours, kept.opening, breaks, kept.hands.get(member["id"], ()))
            for member, hours, breaks in kept.staff
        ),
    )


def _stretch(
    serves: tuple[str, ...],
    hours: Sequence[Interval],
    opening: Interval,
    breaks: Sequence[Interval],
    held: Sequence[Interval],
) -> Stretch:
    within = [Interval(max(span.start, opening.start), min(span.end, opening.end)) for span in hours]
    there = without([span for span in within if span.minutes > 0], breaks)
    return Stretch(serves, tuple(there), tuple(without(there, held)))


def _unkept(set_up: SetUp, date: datetime.date) -> KeptDay:
    """What the set-up makes of the date; nothing is there on a closed one. A break is at the begin of its time."""
    frame = frame_on(set_up, date)
    document = frame.document
    opening = Interval(_minute(document["open"]), _minute(document["close"]))
    closed = frame.closed is not None
    return KeptDay(
        opening=opening,
        units=[] if closed else [(unit, _hours(unit.get("hours"), opening)) for unit in document["units"]],
        staff=[]
        if closed
        else [(member, _hours(member["hours"], opening), _breaks(member["breaks"])) for member in document["staff"]],
        held={},
        hands={},
        unplaced=(),
    )


def _hours(written: Sequence[Sequence[str]] | None, opening: Interval) -> list[Interval]:
    return [opening] if written is None else [Interval(_minute(start), _minute(end)) for start, end in written]


def _breaks(written: Sequence[Mapping[str, object]]) -> list[Interval]:
    found = []
    for due in written:
        between, minutes = due["between"], due["min"]
        assert isinstance(between, list)
        assert isinstance(minutes, int)
        start = _minute(between[0])
        found.append(Interval(start, start + minutes))
    return found


def _minute(text: str) -> int:
    minute = parse_clock(text)
    assert minute is not None
    return minute
