"""Whoever waits and is booked from the list: off it with the booking, and on it again with its undo, or neither."""

from dataclasses import replace

import pytest
from sqlmodel import col, select

from app.models import Audit
from app.services.openings.booking import Booked, Refused, book
from app.services.openings.search import Opening
from app.services.openings.undoing import undo
from app.services.treatments.catalogue import read_treatment
from app.services.treatments.writing import make_treatment
from app.services.visits.about import visit_ids
from app.services.visits.life import step
from app.services.visits.waiting import WaitingForm, put_on, take_off, waiting_list
from solver.errors import InputError
from tests.data.front_desk import Desk, clock, limits, part, treatment_form
from tests.data.set_up_clinic import MONDAY, kept, placed_ids

PADS = "1"


def wait(desk: Desk, patient: int) -> int:
    return put_on(desk.store, WaitingForm(patient=str(patient), treatment=PADS), actor="desk")


def book_from_list(desk: Desk, opening: Opening, waiting: int, patient: int | None = None) -> Booked | Refused:
    wish = (desk.wanted(patient), limits(), opening.placed)
    return book(desk.store, opening.date, [wish], read=opening.version, actor="desk", clock=clock, waiting=waiting)


def who_waits(desk: Desk) -> list[int]:
    return [line.patient_id for line in waiting_list(desk.store)]


def test_who_is_booked_from_the_list_is_off_it_and_undo_puts_them_back(desk: Desk) -> None:
    ann, bea = wait(desk, desk.ann), wait(desk, desk.bea)
    done = book_from_list(desk, desk.search(limits())[0], ann)
    assert isinstance(done, Booked)
    assert (done.off_list, who_waits(desk)) == (ann, [desk.bea])
    undo(desk.store, done, actor="desk")
    assert [line.id for line in waiting_list(desk.store)] == [ann, bea]
    assert placed_ids(kept(desk.store, done.date)) == []
    with desk.store.reading() as session:
        rows = session.exec(select(Audit).where(Audit.record == f"waiting {ann}").order_by(col(Audit.id))).all()
        said = [(row.action, dict(row.after)) for row in rows]
    assert said == [
        ("put on the waiting list", {}),
        ("booked from the waiting list", {"visit": next(iter(done.placed))}),
        ("put back on the waiting list", {}),
    ]


def test_a_booking_that_is_refused_takes_nobody_off(desk: Desk) -> None:
    waiting = wait(desk, desk.bea)
    mine = desk.search(limits(), desk.bea)[0]
    assert isinstance(desk.book(desk.search(limits())[0], limits()), Booked)
    assert isinstance(book_from_list(desk, mine, waiting, desk.bea), Refused)
    assert who_waits(desk) == [desk.bea]


def test_an_undo_that_is_refused_puts_nobody_back(desk: Desk) -> None:
    done = book_from_list(desk, desk.search(limits(1))[0], wait(desk, desk.ann))
    assert isinstance(done, Booked)
    row = visit_ids(desk.store, MONDAY)[next(iter(done.placed))]
    step(desk.store, row, "arrived", seen=0, actor="desk")
    with pytest.raises(InputError, match="its status is arrived"):
        undo(desk.store, done, actor="desk")
    assert who_waits(desk) == []


def test_two_presses_book_once_and_either_undo_puts_back(desk: Desk) -> None:
    waiting, opening = wait(desk, desk.ann), desk.search(limits())[0]
    one, other = book_from_list(desk, opening, waiting), book_from_list(desk, opening, waiting)
    assert isinstance(other, Booked)
    assert one == other
    undo(desk.store, other, actor="desk")
    assert who_waits(desk) == [desk.ann]


def test_another_patient_or_another_treatment_takes_nobody_off(desk: Desk) -> None:
    waiting = wait(desk, desk.ann)
    done = book_from_list(desk, desk.search(limits(), desk.bea)[0], waiting, desk.bea)
    assert isinstance(done, Booked)
    elbow = make_treatment(desk.store, treatment_form(part(), name="Elbow pads"), actor="test")
    other = replace(desk, pads=read_treatment(desk.store, elbow).version_id)
    also = book_from_list(other, other.search(limits())[0], waiting)
    assert isinstance(also, Booked)
    assert (done.off_list, also.off_list, who_waits(desk)) == (None, None, [desk.ann])


def test_undo_puts_back_only_what_its_own_booking_took_off(desk: Desk) -> None:
    waiting = wait(desk, desk.bea)
    take_off(desk.store, waiting, read=1, actor="desk")
    booked = desk.booked(limits())
    undo(desk.store, replace(booked, off_list=waiting), actor="desk")
    assert (who_waits(desk), placed_ids(kept(desk.store, booked.date))) == ([], [])
