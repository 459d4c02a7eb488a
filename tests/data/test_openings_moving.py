"""Moving a booked visit: elsewhere on its day or to another, whole or not at all."""

from datetime import datetime

import pytest

from app.services.openings.booking import Refused
from app.services.openings.moving import Moved, move, move_asked, move_back
from app.services.openings.search import search
from app.services.openings.undoing import undo
from app.services.visits.life import step
from solver.errors import InputError
from tests.data.front_desk import Desk, clock, limits, visits_now
from tests.data.set_up_clinic import MONDAY, TUESDAY, kept, placed_ids


def test_a_move_may_use_the_room_of_the_visit_itself(desk: Desk) -> None:
    booked = desk.booked(limits(1))
    (code,) = booked.placed
    asked, patient = move_asked(desk.store, MONDAY, code, limits(1))
    assert patient == desk.ann
    starts = search(desk.ready, asked, clock=clock).days[0].starts
    assert starts[:2] == (540, 545)


def test_a_move_to_another_day_changes_both_and_keeps_what_it_was_booked_with(desk: Desk) -> None:
    course = desk.prescribed()
    booked = desk.booked(limits(1), course=course)
    (code,) = booked.placed
    asked, _ = move_asked(desk.store, MONDAY, code, limits(1, first=TUESDAY))
    best = search(desk.ready, asked, clock=clock).best[0]
    moved = move(desk.store, MONDAY, code, TUESDAY, best.placed, read=0, actor="desk", clock=clock)
    assert isinstance(moved, Moved)
    assert placed_ids(kept(desk.store)) == []
    assert placed_ids(kept(desk.store, TUESDAY)) == [code]
    with desk.store.reading() as session:
        (row,) = visits_now(session)
        assert (row.treatment_version_id, row.course_id) == (desk.pads, course)
    back = move_back(desk.store, moved, actor="desk")
    assert isinstance(back, Moved)
    assert kept(desk.store).plan is not None
    assert {one.id: one for one in kept(desk.store).plan.visits} == booked.placed  # type: ignore[union-attr]
    assert placed_ids(kept(desk.store, TUESDAY)) == []


def test_a_move_that_is_refused_changes_neither_day(desk: Desk) -> None:
    booked = desk.booked(limits(1))
    (code,) = booked.placed
    asked, _ = move_asked(desk.store, MONDAY, code, limits(1, first=TUESDAY))
    best = search(desk.ready, asked, clock=clock).best[0]
    desk.booked(limits(1, first=TUESDAY), desk.bea)
    refused = move(desk.store, MONDAY, code, TUESDAY, best.placed, read=0, actor="desk", clock=clock)
    assert isinstance(refused, Refused)
    assert placed_ids(kept(desk.store)) == [code]
    assert (kept(desk.store).version, kept(desk.store, TUESDAY).version) == (1, 1)


def test_a_visit_whose_patient_is_there_is_neither_moved_nor_undone(desk: Desk) -> None:
    booked = desk.booked(limits())
    with desk.store.reading() as session:
        (row,) = visits_now(session)
    step(desk.store, row.id or 0, "arrived", seen=0, actor="desk")
    (placed,) = booked.placed.values()
    for change in (
        lambda: undo(desk.store, booked, actor="desk"),
        lambda: move(desk.store, MONDAY, placed.id, TUESDAY, placed, read=0, actor="desk", clock=clock),
    ):
        with pytest.raises(InputError, match="its status is arrived"):
            change()
    assert placed_ids(kept(desk.store)) == [placed.id]


def test_a_visit_of_a_past_day_is_not_moved_out_of_it(desk: Desk) -> None:
    (code,) = desk.booked(limits(1)).placed
    asked, _ = move_asked(desk.store, MONDAY, code, limits(1, first=TUESDAY))
    opening = search(desk.ready, asked, clock=clock).best[0]

    def next_morning() -> datetime:
        return datetime(2031, 3, 11, 8)

    with pytest.raises(InputError, match="its day, 2031-03-10, is past"):
        move(desk.store, MONDAY, code, TUESDAY, opening.placed, read=0, actor="desk", clock=next_morning)
    assert placed_ids(kept(desk.store)) == [code]


def test_a_move_to_an_earlier_day_is_undone_as_well(desk: Desk) -> None:
    (code,) = desk.booked(limits(1, first=TUESDAY)).placed
    asked, _ = move_asked(desk.store, TUESDAY, code, limits(1))
    opening = search(desk.ready, asked, clock=clock).best[0]
    done = move(desk.store, TUESDAY, code, MONDAY, opening.placed, read=0, actor="desk", clock=clock)
    assert isinstance(done, Moved)
    assert isinstance(move_back(desk.store, done, actor="desk"), Moved)
    assert placed_ids(kept(desk.store, TUESDAY)) == [code]
