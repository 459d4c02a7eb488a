"""Desks that race for slots, and a process that is killed: nothing is booked twice, nothing acknowledged is lost."""

import os
import signal
import sqlite3
from contextlib import closing
from random import Random

import pytest

from app.services.databases import open_database
from app.services.days import kept_day, save_day
from solver.verify import verify
from tests.builders import A_DATE
from tests.data.conftest import NewData
from tests.data.desks import (
    OPEN,
    SLOT_MIN,
    SLOTS,
    a_day_of_slots,
    a_plan_of_slots,
    acknowledged,
    book,
    process,
    write_on,
)

DESKS = 8
WANTED = {"sqlite": SLOTS, "postgresql": 14}
"""How many slots the desks want, the first one taken: all of them, and on a server fewer, to save time."""
TIMES = 8
"""How many bookings there are for each slot."""
WRITES = 200
KILLS = 10


def _a_day_in(data: str) -> None:
    store = open_database(data)
    save_day(store, a_day_of_slots(), a_plan_of_slots(a_day_of_slots()), read=0, actor="test")
    store.close()


@pytest.mark.slow
def test_eight_desks_never_book_a_slot_twice_and_lose_nothing(new_data: NewData) -> None:
    data, random = new_data(), Random(1)
    wanted = WANTED["postgresql" if data.startswith("postgresql:") else "sqlite"]
    _a_day_in(data)
    slots = [1 + n % (wanted - 1) for n in range(TIMES * wanted)]
    random.shuffle(slots)
    wishes = [(f"V{n}", slot) for n, slot in enumerate(slots)]
    desks = [process(book, data, wishes[n::DESKS]) for n in range(DESKS)]
    told = [one for _, pipe in desks for one in acknowledged(pipe)]
    for desk, _ in desks:
        desk.join(20)
        assert desk.exitcode == 0
    store = open_database(data)
    kept = kept_day(store, A_DATE)
    store.close()
    assert kept is not None
    assert kept.plan is not None
    assert verify(kept.day, kept.plan) == []
    at = {visit.id: (visit.parts[0].start - OPEN) // SLOT_MIN for visit in kept.plan.visits}
    assert sorted(slot for _, slot in told) == list(range(1, wanted))
    assert dict(told) == {name: slot for name, slot in at.items() if name != "first"}
    assert kept.version == wanted


@pytest.mark.slow
def test_a_kill_at_any_moment_loses_no_acknowledged_write(file_data: NewData) -> None:
    data, random = file_data(), Random(2)
    _a_day_in(data)
    told: dict[str, int] = {}
    for kill in range(KILLS + 1):
        left = [f"save {n}" for n in range(WRITES) if f"save {n}" not in told]
        writer, pipe = process(write_on, data, left)
        last = kill == KILLS
        if not last:
            soon = random.randint(0, WRITES // KILLS)
            for n, (name, version) in enumerate(acknowledged(pipe)):
                told[name] = version
                if n >= soon:
                    break
            writer.join(random.uniform(0, 0.03))
            os.kill(writer.pid or 0, signal.SIGKILL)
        told |= dict(acknowledged(pipe))
        writer.join(20)
        assert writer.exitcode == (0 if last else -signal.SIGKILL)
    assert len(told) == WRITES
    with closing(sqlite3.connect(data)) as file:
        assert file.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert file.execute("PRAGMA foreign_key_check").fetchall() == []
        saved = dict(file.execute("SELECT day_version, actor FROM audit WHERE action = 'saved'").fetchall())
        plans = {version for (version,) in file.execute("SELECT version FROM saved_plan")}
    assert {version: saved.get(version) for version in told.values()} == {
        version: name for name, version in told.items()
    }
    assert plans == saved.keys()
