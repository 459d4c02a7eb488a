"""Demand against what is free in the coming weeks, by output and by hands. Sums only: nothing is guessed or forecast.

What is free is the most there can be: applicators, bays, batteries, watch and gaps that are too short are left out. A
channel that can drive several outputs counts for each of them.
"""

import datetime
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from app.db.store import Store
from app.queries.capacity import kept_days, open_courses, treatment_names, waited_for
from app.queries.clinics import the_clinic
from app.queries.set_up_reading import SetUp, set_up_of
from app.queries.treatments import parts_of_versions
from app.services.use.demand import ANYBODY, SOURCES, THERAPIST, Asked, Source, asked_for, minutes_of
from app.services.use.free_minutes import FreeDay, Stretch, free_day

MOST_WEEKS = 12
WEEKS = 8
DAY = datetime.timedelta(days=1)
HANDS_OF: Mapping[str, tuple[str, ...]] = {"therapist": (THERAPIST, ANYBODY), "assistant": (ANYBODY,)}
Need = Mapping[int, Mapping[str, int]]
"""By treatment, the minutes that one visit asks for, by output and hands."""


@dataclass(frozen=True, slots=True)
class Week:
    """Seven days from ``first``. ``there_min``: in service, or on duty; ``free_min``: what nothing is booked on;
    ``asked_min`` by where it comes from. ``left_min``: what there was no room for by the end of the week, if what has
    no room is asked for again in the next one."""

    first: datetime.date
    there_min: int
    free_min: int
    asked_min: Mapping[Source, int]
    left_min: int

    @property
    def demand_min(self) -> int:
        return sum(self.asked_min.values())

    @property
    def over_min(self) -> int:
        return max(0, self.demand_min - self.free_min)


@dataclass(frozen=True, slots=True)
class Resource:
    """An output, or hands. ``full``: the first week in which more is asked for than is free; None: none of these."""

    name: str
    is_hands: bool
    weeks: tuple[Week, ...]

    @property
    def full(self) -> datetime.date | None:
        return next((week.first for week in self.weeks if week.over_min), None)


@dataclass(frozen=True, slots=True)
class Treated:
    """What is asked for of one treatment: sessions by source within the weeks, and ``later`` ones."""

    name: str
    sessions: Mapping[Source, int]
    later: int
    need: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class Capacity:
    """``asked``: of these weeks; ``days``: every date of them."""

    first: datetime.date
    last: datetime.date
    resources: tuple[Resource, ...]
    treatments: tuple[Treated, ...]
    set_up: SetUp
    asked: tuple[Asked, ...]
    need: Need
    days: Mapping[datetime.date, FreeDay]


def capacity(store: Store, today: datetime.date, weeks: int) -> Capacity:
    """The weeks from tomorrow on."""
    first = today + DAY
    last = first + weeks * 7 * DAY - DAY
    with store.reading() as session:
        clinic = the_clinic(session)
        clinic_id = clinic.id or 0
        set_up, kept = set_up_of(session, clinic), kept_days(session, clinic_id, first, last)
        courses, waiting = open_courses(session, clinic_id), waited_for(session, clinic_id)
        asked = tuple(asked_for(first, last, frozenset(set_up.opening), set_up.closures, courses, waiting, kept))
        versions = sorted({one.treatment for one in asked})
        need = {id: minutes_of(parts) for id, parts in parts_of_versions(session, versions).items()}
        names = treatment_names(session, versions)
    dates = [first + n * DAY for n in range(weeks * 7)]
    days = {date: free_day(set_up, kept.get(date), date, HANDS_OF) for date in dates}
    within = tuple(one for one in asked if one.date is not None)
    channels = [channel for unit in set_up.in_use("unit") for channel in unit.document["channels"]]
    outputs = dict.fromkeys(
        [output for channel in channels for output in channel["drives"]]
        + [output for day in days.values() for channel in day.channels for output in channel.serves]
        + [name for one in within for name in need[one.treatment] if name not in (THERAPIST, ANYBODY)]
    )
    return Capacity(
        first=first,
        last=last,
        resources=tuple(
            Resource(name, name in (THERAPIST, ANYBODY), _weeks(name, first, weeks, days, within, need))
            for name in (*outputs, THERAPIST, ANYBODY)
        ),
        treatments=tuple(_treatments(asked, names, need)),
        set_up=set_up,
        asked=within,
        need=need,
        days=days,
    )


def _weeks(
    name: str,
    first: datetime.date,
    weeks: int,
    days: Mapping[datetime.date, FreeDay],
    asked: Sequence[Asked],
    need: Need,
) -> tuple[Week, ...]:
    found: list[Week] = []
    left = 0
    for number in range(weeks):
        begin = first + number * 7 * DAY
        serving = [one for n in range(7) for one in serves(days[begin + n * DAY], name)]
        sources = dict.fromkeys(SOURCES, 0)
        for one in asked:
            if one.date is not None and begin <= one.date < begin + 7 * DAY:
                sources[one.source] += need[one.treatment].get(name, 0)
        free = sum(one.free_min for one in serving)
        left = max(0, left + sum(sources.values()) - free)
        found.append(Week(begin, sum(one.there_min for one in serving), free, sources, left))
    return tuple(found)


def serves(day: FreeDay, name: str) -> list[Stretch]:
    """The channels that can drive the output, or the staff who are such hands."""
    return [one for one in (*day.channels, *day.staff) if name in one.serves]


def _treatments(asked: Iterable[Asked], names: Mapping[int, str], need: Need) -> list[Treated]:
    by_treatment: dict[int, list[Asked]] = {}
    for one in asked:
        by_treatment.setdefault(one.treatment, []).append(one)
    found = []
    for treatment, sessions in by_treatment.items():
        counts = dict.fromkeys(SOURCES, 0)
        for one in sessions:
            if one.date is not None:
                counts[one.source] += 1
        later = sum(one.date is None for one in sessions)
        found.append(Treated(names.get(treatment, ""), counts, later, need[treatment]))
    return sorted(found, key=lambda one: (one.name, -sum(one.sessions.values())))
