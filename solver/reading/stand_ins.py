"""Harmless values in place of what could not be read or was refused, so that everything else is still checked."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date
from typing import Any

from solver.clinic import Applicator, Channel, Place, StaffMember, Unit
from solver.unread import Unread
from solver.visits import Fixed, Part, Phase, Visit

SOME_DATE = date(2000, 1, 1)

Harmless = Mapping[str, Callable[[Any], Any]]
"""For each key that a class may refuse: from the refused value to one that it takes."""


def unread_channel() -> Channel:
    return Channel(id=Unread(), drives=())


def unread_unit() -> Unit:
    return Unit(id=Unread(), channels=(unread_channel(),), patients_at_once=1, places=())


def unread_applicator() -> Applicator:
    return Applicator(id=Unread(), items=(Unread(),), turnaround_min=0)


def unread_place() -> Place:
    return Place(id=Unread(), bays=(Unread(),))


def unread_member() -> StaffMember:
    return StaffMember(id=Unread(), kind="therapist", hours=())


def some_phase() -> Phase:
    return Phase(minutes=1, hands="nobody", running=False)


def unread_part() -> Part:
    return Part(id=Unread(), channels={}, phases=(some_phase(),))


def parts_for(fixed: Fixed | None) -> tuple[Part, ...]:
    """At least one part, and as many as are fixed, so that what is fixed is still checked."""
    return tuple(unread_part() for _ in range(max(1, len(fixed.parts) if fixed is not None else 1)))


def unread_visit() -> Visit:
    return Visit(id=Unread(), patient="", parts=(unread_part(),))


def _one_each(channels: tuple[Channel, ...]) -> tuple[Channel, ...]:
    return tuple({channel.id: channel for channel in channels}.values()) or (unread_channel(),)


def _renamed(parts: tuple[Part, ...]) -> tuple[Part, ...]:
    return tuple(replace(part, id=Unread()) for part in parts)


def _no_watts(draw: Mapping[str, int]) -> Mapping[str, int]:
    return dict.fromkeys(draw, 0)


def _ones(counts: Mapping[str, int]) -> Mapping[str, int]:
    return dict.fromkeys(counts, 1)


def _zero(_: Any) -> int:
    return 0


def _one(_: Any) -> int:
    return 1


def _none(_: Any) -> None:
    return None


def _empty(_: Any) -> tuple[()]:
    return ()


BATTERY: Harmless = {
    "capacity_wh": _zero,
    "start_pct": _zero,
    "reserve_pct": _zero,
    "standby_w": _zero,
    "draw_w": _no_watts,
    "pump_w": _zero,
    "charge_w": _zero,
    "min_charge_min": _zero,
}
UNIT: Harmless = {"channels": _one_each, "patients_at_once": _one, "hours": _none, "battery": _none}
APPLICATOR: Harmless = {"turnaround_min": _zero}
PLACE: Harmless = {"bays": lambda _: (Unread(),)}
STAFF: Harmless = {"hours": _empty, "watch_free": lambda _: 1_000_000, "watch_busy": _zero}
PART: Harmless = {
    "channels": _ones,
    "applicators": _ones,
    "suction_kpa": _none,
    "phases": lambda _: (some_phase(),),
    "max_wait_min": _none,
}


def visit(parts: int) -> Harmless:
    """For a visit of so many parts."""
    return {
        "priority": _one,
        "free": _none,
        "parts": _renamed,
        "fixed": lambda fixed: replace(fixed, parts=fixed.parts[:parts]),
    }
