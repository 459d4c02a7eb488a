"""What a day has by the set-up alone: from weekly hours, absences, closures and out-of-service times."""

import datetime
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from zoneinfo import ZoneInfo

from app.clock import clock_change, local_minute
from app.queries.clinic_reading import as_clocks, member_on_a_day, unit_on_a_day
from app.queries.set_up_reading import KINDS, Kind, SetUp, Span, Thing
from solver.clinic import Break
from solver.clock import DAY_MIN, Interval, clock
from solver.problem import Day
from solver.reading.day_reader import DAY_FORMAT, read_day_value

Document = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Frame:
    """A date by the set-up. ``closed``: why the clinic does not open then; None: it does.

    ``opening`` None: the weekday has none. ``document``: a day file without visits; on a closed date nobody is there
    and nothing is in service. ``away``: minutes of the date at which a unit is out of service or somebody is absent, by
    kind and code, and all are where clocks change within opening hours; none of them are in the document's hours.
    """

    closed: str | None
    is_closure: bool
    opening: Interval | None
    document: Document
    away: Mapping[tuple[Kind, str], Sequence[Interval]]

    def closes_after(self, before: "Frame") -> bool:
        """True where the clinic is newly closed. A weekday without hours may still have days; a closure ends them."""
        return self.closed is not None and (before.closed is None or (self.is_closure and not before.is_closure))


def new_day_by(set_up: SetUp, date: datetime.date) -> Day | None:
    """The day that nobody has booked yet; None where the clinic is closed. Raises InputError where it makes no day."""
    frame = frame_on(set_up, date)
    return None if frame.closed is not None else read_day_value(frame.document)


def frame_on(set_up: SetUp, date: datetime.date) -> Frame:
    opening, reason = set_up.opening.get(date.weekday()), set_up.closures.get(date)
    closed = None
    if reason is not None:
        closed = f"the clinic is closed on {date}" + (f" ({reason})" if reason else "")
    elif opening is None:
        closed = f"the clinic does not open on a {date:%A}"
    is_open, open_min, close_min = closed is None, *(opening or (0, DAY_MIN))
    zone, hours = ZoneInfo(set_up.time_zone), Interval(open_min, close_min)
    change = clock_change(date, zone) if is_open else None
    changing = [change.minutes] if change is not None and change.minutes.meets(hours) else []
    away = {
        (kind, thing.code): gone
        for kind in KINDS
        for thing in set_up.in_use(kind)
        if (gone := on_the_day(date, zone, set_up.away.get((kind, thing.id), ())) + changing)
    }
    document = {
        "format": DAY_FORMAT,
        "date": date.isoformat(),
        "step_min": set_up.clinic["step_min"],
        "open": clock(open_min),
        "close": clock(close_min),
        "move_min": set_up.clinic["move_min"],
        "bay_turnover_min": set_up.clinic["bay_turnover_min"],
        "units": [
            unit_on_a_day(unit.document, _service(away.get(("unit", unit.code)), hours) if is_open else [])
            for unit in set_up.in_use("unit")
        ],
        "applicators": [pool.document for pool in set_up.in_use("applicator")],
        "places": [place.document for place in set_up.in_use("place")],
        "staff": [
            _member(set_up, member, date, away.get(("staff", member.code), ()), hours, is_open)
            for member in set_up.in_use("staff")
        ],
        "visits": [],
        "published": [],
        "aims": set_up.clinic["aims"],
    }
    return Frame(closed, reason is not None, opening, document, away)


def _service(gone: Sequence[Interval] | None, opening: Interval) -> list[list[str]] | None:
    return as_clocks(without([opening], gone)) if gone else None


def _member(
    set_up: SetUp, member: Thing, date: datetime.date, away: Sequence[Interval], opening: Interval, is_open: bool
) -> Document:
    key = (member.id, date.weekday())
    hours = without(set_up.hours.get(key, ()), away) if is_open else []
    breaks = [
        {"min": due.minutes, "between": [clock(due.between.start), clock(due.between.end)]}
        for due in set_up.breaks.get(key, ())
        if has_room(due, [opening]) and has_room(due, hours)
    ]
    return member_on_a_day(member.document, as_clocks(hours), breaks)


def has_room(due: Break, hours: Iterable[Interval]) -> bool:
    """A break is due where there is at least its length of the time that it is due in."""
    return any(min(end, due.between.end) - max(start, due.between.start) >= due.minutes for start, end in hours)


def on_the_day(date: datetime.date, zone: ZoneInfo, spans: Iterable[Span]) -> list[Interval]:
    """What the spans cover of the day, in local minutes; a minute that is covered in part is covered."""
    covered = []
    for span in spans:
        rounded = span.ends_at + datetime.timedelta(seconds=59, microseconds=999_999)
        start, end = (local_minute(instant, date, zone) for instant in (span.starts_at, rounded))
        if end > start:
            covered.append(Interval(start, end))
    return covered


def without(intervals: Sequence[Interval], gone: Iterable[Interval]) -> list[Interval]:
    """The intervals without the minutes that are gone."""
    left = list(intervals)
    for cut in gone:
        pieces = [(Interval(i.start, min(i.end, cut.start)), Interval(max(i.start, cut.end), i.end)) for i in left]
        left = [piece for pair in pieces for piece in pair if piece.minutes > 0]
    return left
