"""A day of fifty slots and desks that book into it, each in a process of its own. Nothing here is a real clinic.

The day has one channel, one bay and one therapist; a visit takes ten minutes, so that fifty fit, one after the other.
"""

import multiprocessing
from collections.abc import Iterator
from dataclasses import replace
from multiprocessing.connection import Connection
from typing import Any, NamedTuple

from app.db.store import Store
from app.errors import StaleDayError
from app.services.databases import open_database
from app.services.days import kept_day, save_day
from solver.clock import Interval
from solver.problem import Day
from solver.schedule import Plan
from tests.builders import (
    A_DATE,
    a_channel,
    a_day,
    a_part,
    a_place,
    a_plan,
    a_therapist,
    a_unit,
    a_visit,
    hands_on,
    placed,
)

SLOTS = 50
SLOT_MIN = 10
OPEN = 8 * 60


def a_day_of_slots() -> Day:
    """With one visit in the first slot."""
    return a_day(
        a_visit(a_part(hands_on(SLOT_MIN)), id="first"),
        open=OPEN,
        close=OPEN + SLOTS * SLOT_MIN,
        units=(a_unit(channels=(a_channel("s1"),), patients_at_once=1),),
        places=(a_place(bays=("F1",)),),
        staff=(a_therapist(),),
    )


def a_plan_of_slots(day: Day) -> Plan:
    return a_plan(day, placed(day.visits[0], OPEN))


def booked(day: Day, plan: Plan, name: str, slot: int) -> tuple[Day, Plan]:
    """The day and the plan with one more visit, in the slot."""
    visit = a_visit(a_part(hands_on(SLOT_MIN)), id=name)
    wider = replace(day, visits=(*day.visits, visit))
    return wider, a_plan(wider, *plan.visits, placed(visit, OPEN + slot * SLOT_MIN))


def slot_is_taken(plan: Plan, slot: int) -> bool:
    start = OPEN + slot * SLOT_MIN
    wanted = Interval(start, start + SLOT_MIN)
    return any(wanted.meets(Interval(part.start, part.start + SLOT_MIN)) for v in plan.visits for part in v.parts)


def book(data: str, wishes: list[tuple[str, int]], told: Connection) -> None:
    """Book each name into its slot, as a desk does, and tell of each that was acknowledged: its name and slot.

    A desk looks at what it read last, and reads again where it is told that somebody else was faster.
    """
    store = open_database(data)
    seen = _read(store)
    for name, slot in wishes:
        while not slot_is_taken(seen.plan, slot):
            day, plan = booked(seen.day, seen.plan, name, slot)
            try:
                version = save_day(store, day, plan, read=seen.version, actor=name)
            except StaleDayError:
                seen = _read(store)
                continue
            told.send((name, slot))
            seen = Seen(day, plan, version)
    store.close()
    told.close()


def write_on(data: str, names: list[str], told: Connection) -> None:
    """Move the first visit on by a slot, once for each name, and tell of each version that was acknowledged."""
    store = open_database(data)
    seen = _read(store)
    for name in names:
        slot = (seen.plan.visits[0].parts[0].start - OPEN) // SLOT_MIN
        plan = a_plan(seen.day, placed(seen.day.visits[0], OPEN + (slot + 1) % SLOTS * SLOT_MIN))
        seen = Seen(seen.day, plan, save_day(store, seen.day, plan, read=seen.version, actor=name))
        told.send((name, seen.version))
    store.close()
    told.close()


class Seen(NamedTuple):
    """What a desk knows of the day."""

    day: Day
    plan: Plan
    version: int


def _read(store: Store) -> Seen:
    kept = kept_day(store, A_DATE)
    assert kept is not None
    assert kept.plan is not None
    return Seen(kept.day, kept.plan, kept.version)


def acknowledged(told: Connection) -> Iterator[Any]:
    """All that was told until the other end is gone."""
    while True:
        try:
            yield told.recv()
        except EOFError:
            return


def process(target: object, data: str, wishes: object) -> tuple[multiprocessing.Process, Connection]:
    """A process that has begun, and the end of the pipe that it tells to."""
    context = multiprocessing.get_context("fork")
    told, telling = context.Pipe(duplex=False)
    begun = context.Process(target=target, args=(data, wishes, telling))  # type: ignore[arg-type]
    begun.start()
    telling.close()
    return begun, told  # type: ignore[return-value]
