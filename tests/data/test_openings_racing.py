"""Desks that book from the Openings room at the same time, each in a process of its own: no start is had twice."""

from multiprocessing.connection import Connection

import pytest

from app.services.databases import open_database
from app.services.openings.asking import asked_for
from app.services.openings.booking import Booked, book
from app.services.openings.ready import ReadyDays
from app.services.openings.search import search
from app.services.patients import make_patient
from solver.verify import verify
from tests.data.conftest import CopyOf
from tests.data.desks import acknowledged, process
from tests.data.front_desk import Desk, clock, desk_in, limits
from tests.data.set_up_clinic import MONDAY, kept

DESKS = 3
BOOKINGS = 4
"""How many each desk makes. T1 has time for one at the wished hour, so the others are raced for."""


def _desk(data: str, patients: list[int], pads: int, told: Connection) -> None:
    """Book each patient as near to 10:00 as can be, as often as it takes; tell of the code, and of refusals."""
    store = open_database(data)
    desk = Desk(store, ReadyDays(store), 0, 0, pads)
    wished = limits(1, wish=600)
    for patient in patients:
        while True:
            asked = asked_for(store, desk.wanted(patient), wished)
            best = search(desk.ready, asked, clock=clock).best[0]
            wish = (desk.wanted(patient), wished, best.placed)
            done = book(store, best.date, [wish], read=best.version, actor="desk", clock=clock)
            told.send((best.placed.id if isinstance(done, Booked) else "refused", patient))
            if isinstance(done, Booked):
                break
    store.close()
    told.close()


@pytest.mark.slow
def test_desks_that_want_the_same_starts_never_get_one_twice_and_lose_nothing(
    set_up_data: str, copy_of: CopyOf
) -> None:
    data = copy_of(set_up_data)
    store = open_database(data)
    pads = desk_in(store).pads
    patients = [make_patient(store, f"Patient {n}", actor="test").id for n in range(DESKS * BOOKINGS)]
    store.close()
    desks = [process(_each(n, patients, pads), data, None) for n in range(DESKS)]
    told = [one for _, pipe in desks for one in acknowledged(pipe)]
    for desk, _ in desks:
        desk.join(30)
        assert desk.exitcode == 0
    store = open_database(data)
    known = kept(store)
    store.close()
    booked = [code for code, _ in told if code != "refused"]
    assert known.plan is not None
    assert verify(known.day, known.plan) == []
    assert sorted(booked) == sorted(visit.id for visit in known.plan.visits)
    assert len(booked) == DESKS * BOOKINGS
    assert known.version == DESKS * BOOKINGS
    starts = [visit.parts[0].start for visit in known.plan.visits]
    assert len(set(starts)) == len(starts)
    assert known.day.date == MONDAY


def _each(n: int, patients: list[int], pads: int) -> object:
    def run(data: str, _: object, told: Connection) -> None:
        _desk(data, patients[n::DESKS], pads, told)

    return run
