"""A process that presses on the Floor is killed from outside: what it acknowledged is kept, and once."""

import datetime
import os
import signal
import uuid
from itertools import islice
from multiprocessing.connection import Connection

from sqlmodel import select

from app.models import LiveEvent
from app.queries.visit_life import row_ids
from app.services.databases import open_database
from app.services.day_room import DayRoom
from app.services.days import save_day
from app.services.floor.pressing import Press, press
from app.services.floor.room import FloorRoom
from tests.app.clinic_days import DATE, a_clinic_day, a_clinic_plan
from tests.app.floor_days import instant
from tests.data.conftest import CopyOf
from tests.data.desks import acknowledged, process

KILLS, BEFORE = 4, 6
"""How often it is killed, and after how many presses at the earliest."""


def press_on(data: str, visit: int, pipe: Connection) -> None:
    """Press without an end, and say the key of each press once it is taken."""
    store = open_database(data)
    room = FloorRoom(store, DayRoom(store))
    while True:
        key = str(uuid.uuid4())
        made = Press(key=key, kind="comfort", visit=visit, part=0, texts={"said": key})
        press(store, room, DATE, made, actor="Tess Ray", clock=_at_nine)
        pipe.send(key)


def _at_nine() -> datetime.datetime:
    return instant("09:00")


def test_a_kill_between_presses_loses_none_that_was_acknowledged(made_data: str, copy_of: CopyOf) -> None:
    data = copy_of(made_data)
    store = open_database(data)
    day = a_clinic_day()
    save_day(store, day, a_clinic_plan(day), read=0, actor="test")
    with store.reading() as session:
        visit = row_ids(session, 1, DATE)["V1"]
    arrived = Press(key=str(uuid.uuid4()), kind="arrived", visit=visit, texts={})
    press(store, FloorRoom(store, DayRoom(store)), DATE, arrived, actor="Tess Ray", clock=_at_nine)
    store.close()
    told: list[str] = []
    for _ in range(KILLS):
        presser, pipe = process(press_on, data, visit)
        keys = acknowledged(pipe)
        told.extend(islice(keys, BEFORE))
        os.kill(presser.pid or 0, signal.SIGKILL)
        presser.join(20)
        assert presser.exitcode == -signal.SIGKILL
        told.extend(keys)
    store = open_database(data)
    with store.reading() as session:
        kept = session.exec(select(LiveEvent.key).where(LiveEvent.kind == "comfort")).all()
    again = FloorRoom(store, DayRoom(store)).read(DATE)
    store.close()
    assert again is not None
    assert len(told) >= KILLS * BEFORE
    assert len(kept) == len(set(kept))
    assert set(told) <= set(kept)
    assert len(kept) <= len(told) + KILLS  # the one that a kill came upon may be kept without a word
    assert len(again.state.visit("V1").said[0]) == len(kept)
