"""Which of the starts on many days a course takes: exactly the best by the order that ``solver/courses.py`` gives.

Sessions are on different days, so what one takes changes no start of another. With the hour and the therapists settled,
each day costs what its nearest start costs, and the best days are a cheapest chain. Every hour that is offered is
looked at, unless the days nearest to it are too far in all; therapists are looked at alone, then in twos, and so on.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from heapq import nsmallest
from itertools import combinations, pairwise
from math import inf
from typing import NamedTuple

from solver.clock import Interval
from solver.course_chains import Chains
from solver.errors import Fault, refuse_if
from solver.masks.bits import minutes_of, nearest, span, union

Therapist = str | None
"""None: the visit needs none."""

EVERY_DAY = frozenset(range(7))


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """What is asked for. Days count from one session to the next (1: on the next day); weekdays from 0, Monday.

    ``most_days`` None: no limit. ``hours``: within which each session starts (minutes from midnight). ``booked``: dates
    of sessions that stand already, in order; the limits hold from a new session to those next to it too.
    """

    sessions: int
    least_days: int = 1
    most_days: int | None = None
    weekdays: frozenset[int] = EVERY_DAY
    hours: Interval | None = None
    wish: int | None = None
    therapist_wish: str | None = None
    booked: tuple[date, ...] = ()

    def __post_init__(self) -> None:
        refuse_if(
            [
                *([Fault("sessions", f"{self.sessions} is too few", "give 1 or more")] if self.sessions < 1 else ()),
                *(
                    [Fault("least_days", f"{self.least_days} is too few", "give 1 or more")]
                    if self.least_days < 1
                    else ()
                ),
                *(
                    [Fault("most_days", f"{self.most_days} is less than least_days", f"give {self.least_days} or more")]
                    if self.most_days is not None and self.most_days < self.least_days
                    else ()
                ),
                *([] if self.weekdays <= EVERY_DAY else [Fault("weekdays", "there is no such day", "give 0 to 6")]),
            ]
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class DayStarts:
    """The starts on one day by therapist: sets of minutes (``solver/masks/bits.py``)."""

    date: date
    by: Mapping[Therapist, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Session:
    """``start``: minutes from midnight."""

    date: date
    start: int
    therapist: Therapist


@dataclass(frozen=True, slots=True, kw_only=True)
class Sessions:
    """As many as fit, by date. ``hour``: the one they are near to; None without any session."""

    chosen: tuple[Session, ...]
    hour: int | None
    minutes_off: int
    """Minutes between the starts and the hour, in all."""

    @property
    def therapists(self) -> frozenset[str]:
        return frozenset(session.therapist for session in self.chosen if session.therapist is not None)


def within(day: DayStarts, course: Course) -> DayStarts:
    """The starts that the course's weekdays and hours allow."""
    right_day = day.date.weekday() in course.weekdays
    hours = (span(*course.hours) if course.hours is not None else -1) if right_day else 0
    by = {who: mask & hours for who, mask in day.by.items() if mask & hours}
    return DayStarts(date=day.date, by=by)


def choose_sessions(days: Sequence[DayStarts], course: Course) -> Sessions:
    """The best sessions of the course. ``days``: in order of time, each date once; raises InputError otherwise."""
    refuse_if(
        [
            Fault(f"days[{i}]", f"{after.date} comes after {before.date}", "give each date once, in order of time")
            for i, (before, after) in enumerate(pairwise(days), start=1)
            if after.date <= before.date
        ]
    )
    return _Choice([within(day, course) for day in days], course).best()


class _Found(NamedTuple):
    cost: int
    days: tuple[int, ...]
    hour: int
    team: frozenset[Therapist]


class _Choice:
    def __init__(self, days: Sequence[DayStarts], course: Course) -> None:
        self.days = days
        self.course = course
        self.chains = Chains([day.date for day in days], course.least_days, course.most_days, course.booked)
        self.count = self.chains.longest([bool(day.by) for day in days], course.sessions)
        self.everyone = list(dict.fromkeys(who for day in days for who in day.by))
        self._known: dict[int, list[float]] = {}

    def best(self) -> Sessions:
        if not self.count:
            return Sessions(chosen=(), hour=None, minutes_off=0)
        off, hours = self._hours()
        for size in range(1, len(self.everyone) + 1):
            found = self._with(size, off, hours)
            if found is not None:
                chosen = tuple(self._session(day, found.hour, found.team) for day in found.days)
                return Sessions(chosen=chosen, hour=found.hour, minutes_off=off)
        raise AssertionError("all therapists together reach what all together reached")

    def _hours(self) -> tuple[int, list[int]]:
        """The least minutes off in all, and every hour with which they may be reached."""
        if self.course.wish is not None:
            hours = [self.course.wish]
        else:
            hours = list(minutes_of(union(mask for day in self.days for mask in day.by.values())))
        near = {hour: self._distances(hour) for hour in hours}
        # No chain of days has fewer minutes off than the nearest days, whatever lies between them.
        least = {hour: sum(nsmallest(self.count, near[hour])) for hour in hours}
        best = inf
        for hour in sorted(hours, key=lambda hour: least[hour]):
            if least[hour] >= best:
                break
            chain = self.chains.cheapest(near[hour], self.count, best)
            best = min(best, chain.cost if chain is not None else inf)
        return int(best), [hour for hour in hours if least[hour] <= best]

    @cached_property
    def _all_masks(self) -> list[int]:
        return [union(day.by.values()) for day in self.days]

    @cached_property
    def _first_end(self) -> int:
        """The earliest day on which the last session can be, at whatever hour."""
        chain = self.chains.cheapest([0 if day.by else inf for day in self.days], self.count)
        return chain.days[-1] if chain is not None else 0

    def _with(self, size: int, off: int, hours: Sequence[int]) -> _Found | None:
        """The best with so many therapists and so many minutes off; None where there is none.

        With the fewest minutes off each session is as near to the hour on its day as anybody makes it.
        """
        wish = self.course.therapist_wish
        names = sorted(self.everyone, key=lambda who: who != wish)
        best: _Found | None = None
        for hour in hours:
            costs = self._wished_costs(hour)
            most = off * (self.count + 1) + self.count if best is None else best.cost
            lowest = self.chains.cheapest(costs, self.count, most)
            if lowest is None or (best is not None and (lowest.cost, lowest.days[-1]) >= (best.cost, best.days[-1])):
                continue
            nearest_by = self._days_by(hour)
            for team in combinations(names, size):
                covered = 0
                for who in team:
                    covered |= nearest_by[who]
                if covered.bit_count() < self.count:
                    continue
                theirs = [
                    (cost if wish in team or cost == inf else self._without_wish(cost)) if covered >> n & 1 else inf
                    for n, cost in enumerate(costs)
                ]
                chain = self.chains.cheapest(theirs, self.count, best.cost if best is not None else most)
                if chain is not None:
                    found = _Found(int(chain.cost), chain.days, hour, frozenset(team))
                    if best is None or (found.cost, found.days[-1]) < (best.cost, best.days[-1]):
                        best = found
                    if (chain.cost, chain.days[-1]) == (lowest.cost, lowest.days[-1]):
                        break
            if best is not None and (best.cost, best.days[-1]) == (off * (self.count + 1), self._first_end):
                break
        return best

    def _wished_costs(self, hour: int) -> list[float]:
        """For each day the minutes off, and as a smaller coin whether the wished therapist is missed."""
        wish = self.course.therapist_wish
        return [
            off if off == inf else off * (self.count + 1) + self._missed(day, hour, off, wish)
            for day, off in zip(self.days, self._distances(hour), strict=True)
        ]

    def _missed(self, day: DayStarts, hour: int, off: float, wish: Therapist) -> bool:
        return wish is not None and not _at(day.by.get(wish, 0), hour, off)

    def _without_wish(self, cost: float) -> float:
        """The day's cost for therapists of whom none is the wished one."""
        if self.course.therapist_wish is None:
            return cost
        return cost - cost % (self.count + 1) + 1

    def _days_by(self, hour: int) -> dict[Therapist, int]:
        """For each therapist the days (a set of indices) with a start of theirs that is nearest of all to the hour."""
        distances = self._distances(hour)
        return {
            who: union(
                1 << n
                for n, (day, off) in enumerate(zip(self.days, distances, strict=True))
                if who in day.by and _at(day.by[who], hour, off)
            )
            for who in self.everyone
        }

    def _distances(self, hour: int) -> list[float]:
        """For each day how far the nearest start of all is from the hour."""
        known = self._known.get(hour)
        if known is None:
            known = self._known[hour] = [_distance(mask, hour) for mask in self._all_masks]
        return known

    def _session(self, number: int, hour: int, team: frozenset[Therapist]) -> Session:
        """The team's start nearest to the hour, with the wished therapist where that can be; of two, the earlier."""
        day, wish = self.days[number], self.course.therapist_wish
        off = int(self._distances(hour)[number])
        there = sorted((who for who in day.by if who in team), key=lambda who: who != wish)
        who = next(who for who in there if _at(day.by[who], hour, off))
        start = hour - off if hour >= off and day.by[who] >> (hour - off) & 1 else hour + off
        return Session(date=day.date, start=start, therapist=who)


def _distance(mask: int, hour: int) -> float:
    return min((abs(start - hour) for start in nearest(mask, hour)), default=inf)


def _at(mask: int, hour: int, off: float) -> bool:
    """Whether a start of the set is so far from the hour."""
    if off == inf:
        return False
    minutes = int(off)
    return bool(mask >> (hour + minutes) & 1 or (hour >= minutes and mask >> (hour - minutes) & 1))
