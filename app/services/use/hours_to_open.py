"""Which hours to open: what each hour of the week would take of what there is no room for.

An hour outside the opening hours adds the minutes of the channels that can drive an output. An hour within them adds,
with one more pair of hands, what its free channels could run and nobody has hands for. Of either no more is taken in a
week than there is no room for in it, nor than may come at that hour.
"""

import datetime
from collections.abc import Iterator
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from app.queries.new_days import on_the_day
from app.services.use.capacity import Capacity, Resource, serves
from app.services.use.demand import ANYBODY, THERAPIST, Asked, channel_min
from solver.clock import DAY_MIN, Interval

AROUND_H = 2
"""So many hours before the clinic's earliest opening and after its latest closing are looked at."""
OPEN = "open"


@dataclass(frozen=True, slots=True)
class HourToOpen:
    """An hour of a weekday. ``what``: OPEN, or the hands that one more would be. Channel minutes over all weeks in
    which something has no room: ``adds_min`` what it adds, ``unmet_min`` what has no room, ``wanted_min`` what is asked
    for and may come then, ``takes_min`` what it would take, the least of the three in each week."""

    weekday: int
    block: Interval
    what: str
    adds_min: int
    unmet_min: int
    wanted_min: int
    takes_min: int


@dataclass(frozen=True, slots=True)
class _Sum:
    adds: int = 0
    unmet: int = 0
    wanted: int = 0
    takes: int = 0


def hours_to_open(found: Capacity) -> tuple[HourToOpen, ...]:
    """Those that would take anything, the most first; none where the clinic has no opening hours."""
    if not found.set_up.opening or not any(one.full for one in found.resources):
        return ()
    return tuple(sorted(_Hours(found).all(), key=lambda one: (-one.takes_min, one.weekday, one.block, one.what)))


class _Hours:
    def __init__(self, found: Capacity) -> None:
        self._found = found
        self._zone = ZoneInfo(found.set_up.time_zone)
        self._outputs = [one for one in found.resources if not one.is_hands]
        self._by_week: dict[int, list[Asked]] = {}
        for one in found.asked:
            assert one.date is not None
            self._by_week.setdefault(self._number(one.date), []).append(one)
        needs = [found.need[one.treatment] for one in found.asked]
        self._channel_min = sum(map(channel_min, needs))
        self._hands_min = {name: sum(need.get(name, 0) for need in needs) for name in (THERAPIST, ANYBODY)}

    def all(self) -> Iterator[HourToOpen]:
        opening = self._found.set_up.opening
        earliest = max(0, min(span.start for span in opening.values()) // 60 - AROUND_H)
        latest = min(DAY_MIN // 60, -(-max(span.end for span in opening.values()) // 60) + AROUND_H)
        for weekday in range(7):
            for hour in range(earliest, latest):
                yield from self._of(weekday, Interval(hour * 60, hour * 60 + 60), opening.get(weekday))

    def _of(self, weekday: int, block: Interval, present: Interval | None) -> Iterator[HourToOpen]:
        closures = self._found.set_up.closures
        dates = [date for date in self._found.days if date.weekday() == weekday and date not in closures]
        inside = 0 if present is None else max(0, min(block.end, present.end) - max(block.start, present.start))
        ways = {OPEN: [self._opened(date, block, block.minutes - inside) for date in dates]}
        if inside:
            for hands in (one for one in self._found.resources if one.is_hands):
                ways[hands.name] = [self._staffed(hands, date, block) for date in dates]
        for what, sums in ways.items():
            takes = sum(one.takes for one in sums)
            if takes:
                adds, unmet = sum(one.adds for one in sums), sum(one.unmet for one in sums)
                yield HourToOpen(weekday, block, what, adds, unmet, sum(one.wanted for one in sums), takes)

    def _opened(self, date: datetime.date, block: Interval, extra: int) -> _Sum:
        """On one date, by all units of the set-up that are not out of service then."""
        over = {one.name: minutes for one in self._outputs if (minutes := self._over(one, date))}
        if not over or not extra:
            return _Sum()
        channels = self._channels(date, block)
        each = {name: extra * sum(name in drives for drives in channels) for name in over}
        wanted = {name: self._wanted(date, block, name) for name in over}
        adds = extra * sum(any(name in drives for name in over) for drives in channels)
        takes = min(adds, sum(min(each[name], over[name], wanted[name]) for name in over))
        return _Sum(adds, sum(over.values()), sum(wanted.values()), takes)

    def _staffed(self, hands: Resource, date: datetime.date, block: Interval) -> _Sum:
        """On one date, with one more of these hands for the hour; in channel minutes, of which all that is asked for
        needs so many minutes of hands."""
        over, hands_min = self._over(hands, date), self._hands_min[hands.name]
        if not over or not hands_min:
            return _Sum()
        day = self._found.days[date]
        free = sum(channel.free_in(block) for channel in day.channels)
        served = sum(one.free_in(block) for one in serves(day, hands.name)) * self._channel_min // hands_min
        adds = min(max(0, free - served), block.minutes * self._channel_min // hands_min)
        if not adds:
            return _Sum()
        unmet, wanted = over * self._channel_min // hands_min, self._wanted(date, block, hands.name)
        return _Sum(adds, unmet, wanted, min(adds, unmet, wanted))

    def _channels(self, date: datetime.date, block: Interval) -> list[list[str]]:
        """What each channel drives that could serve then."""
        set_up, drives = self._found.set_up, []
        for unit in set_up.in_use("unit"):
            gone = on_the_day(date, self._zone, set_up.away.get(("unit", unit.id), ()))
            if not any(block.meets(span) for span in gone):
                drives += [channel["drives"] for channel in unit.document["channels"]]
        return drives

    def _wanted(self, date: datetime.date, block: Interval, name: str) -> int:
        """Channel minutes asked for in the date's week that may come on its weekday at that hour: of the output, or of
        all that asks for such hands."""
        total = 0
        for one in self._by_week.get(self._number(date), ()):
            need = self._found.need[one.treatment]
            if name in need and one.may_be(date.weekday(), block):
                total += channel_min(need) if name in (THERAPIST, ANYBODY) else need[name]
        return total

    def _over(self, resource: Resource, date: datetime.date) -> int:
        return resource.weeks[self._number(date)].over_min

    def _number(self, date: datetime.date) -> int:
        return (date - self._found.first).days // 7
