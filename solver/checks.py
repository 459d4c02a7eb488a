"""Checks that the day's classes make of their own values: each returns the faults it finds."""

from collections.abc import Iterable, Mapping, Sequence

from solver.clock import DAY_MIN, Interval, overlapping
from solver.errors import Fault

LARGEST = 1_000_000
"""Largest whole number a day file may hold: beyond any real clinic, and small enough that no sum overflows."""


def whole(where: str, value: int, least: int = 0, most: int = LARGEST) -> list[Fault]:
    """The fault of a number outside ``least … most``, if it is one."""
    if least <= value <= most:
        return []
    return [Fault(where, f"{value} is out of range", f"give a whole number from {least} to {most}")]


def intervals(where: str, values: Sequence[Interval]) -> list[Fault]:
    """The faults of a list of intervals: ends that are not after starts, intervals that overlap."""
    faults = [fault for i, value in enumerate(values) for fault in interval(f"{where}[{i}]", value)]
    if not faults and overlapping(values):
        faults.append(Fault(where, "two of the intervals overlap", "intervals of a list may touch but not overlap"))
    return faults


def interval(where: str, value: Interval) -> list[Fault]:
    """The fault of one interval, if its end is not after its start or it leaves the day."""
    if not 0 <= value.start <= DAY_MIN or not 0 <= value.end <= DAY_MIN:
        return [Fault(where, f"{value} leaves the day", "times lie from 00:00 to 24:00")]
    if value.end <= value.start:
        return [Fault(where, f"{value} ends no later than it starts", "an interval's end is after its start")]
    return []


def filled(where: str, values: Sequence[object], what: str) -> list[Fault]:
    """The fault of a list that is empty where at least one entry is needed."""
    return [] if values else [Fault(where, "the list is empty", f"give at least one {what}")]


def counts(where: str, values: Mapping[str, int]) -> list[Fault]:
    """The faults of an object of counts, each of which is at least 1."""
    return [fault for key, value in values.items() for fault in whole(f"{where}.{key}", value, 1)]


def listed(where: str, ids: Sequence[str], key: str = "") -> list[tuple[str, str]]:
    """Each id with where it stands: ``where[0]``, or ``where[0].id`` with ``key`` ``".id"``."""
    return [(f"{where}[{i}]{key}", id) for i, id in enumerate(ids)]


def repeated(uses: Iterable[tuple[str, str]]) -> list[Fault]:
    """The faults of ids used again, one for each use after the first. ``uses`` gives each id with where it stands."""
    first: dict[str, str] = {}
    return [
        Fault(where, f"{id!r} is already used at {first[id]}", "use an id once within its list")
        for where, id in uses
        if first.setdefault(id, where) != where
    ]
