"""Undoing a booking for which others were moved: all are where they were, in one step, or who is there is said."""

from dataclasses import replace

import pytest

from app.services.openings.asking import asked_for
from app.services.openings.blocked import Holder, who_took_it
from app.services.openings.booking import Booked, Refused, book
from app.services.openings.making_room import Room, make_room
from app.services.openings.moving import Moved, move
from app.services.openings.undoing import Undone, undo
from app.services.patients import make_patient
from app.services.visits.about import visit_ids
from app.services.visits.life import step, tell
from solver.clock import Interval
from solver.errors import InputError
from solver.schedule import PlacedVisit
from solver.verify import verify
from tests.data.front_desk import Desk, clock, limits
from tests.data.set_up_clinic import MONDAY, kept

NARROW = limits(1, hours=(Interval(540, 560),))


def room_for_ann(desk: Desk) -> Room:
    room = make_room(desk.ready, asked_for(desk.store, desk.wanted(), NARROW), MONDAY, clock=clock)
    assert room is not None
    assert [one.patient for one in room.moves] == ["Bea Later"]
    return room


def book_in(desk: Desk, room: Room) -> Booked:
    assert room.placed is not None
    wish, moved = (desk.wanted(), NARROW, room.placed), [one.placed for one in room.moves]
    done = book(desk.store, MONDAY, [wish], read=room.version, actor="desk", clock=clock, moved=moved)
    assert isinstance(done, Booked)
    return done


def placed_now(desk: Desk) -> dict[str, PlacedVisit]:
    known = kept(desk.store)
    assert known.plan is not None
    assert verify(known.day, known.plan) == []
    return {one.id: one for one in known.plan.visits}


def at(placed: PlacedVisit, minute: int) -> PlacedVisit:
    """The same of one part, starting then."""
    return replace(placed, parts=(replace(placed.parts[0], start=minute),))


def test_undo_puts_those_who_made_room_back_in_the_same_step(desk: Desk) -> None:
    bea = desk.booked(limits(1, wish=540), desk.bea)
    booked = book_in(desk, room_for_ann(desk))
    assert booked.before == bea.placed
    assert placed_now(desk) != bea.placed
    assert undo(desk.store, booked, actor="desk") == Undone(3, False, ())
    assert placed_now(desk) == bea.placed
    known = kept(desk.store)
    assert (known.version, known.day.published_by_id) == (3, bea.placed)


def test_an_undo_after_two_presses_puts_back_as_well(desk: Desk) -> None:
    bea = desk.booked(limits(1, wish=540), desk.bea)
    room = room_for_ann(desk)
    first, second = book_in(desk, room), book_in(desk, room)
    assert second == first
    undo(desk.store, second, actor="desk")
    assert placed_now(desk) == bea.placed
    with pytest.raises(InputError, match="undone already"):
        undo(desk.store, first, actor="desk")


def test_who_was_told_of_the_new_time_meanwhile_is_to_be_told_again(desk: Desk) -> None:
    bea = desk.booked(limits(1, wish=540), desk.bea)
    booked = book_in(desk, room_for_ann(desk))
    (code,) = bea.placed
    tell(desk.store, visit_ids(desk.store, MONDAY)[code], seen=0, read=2, actor="desk")
    done = undo(desk.store, booked, actor="desk")
    assert isinstance(done, Undone)
    assert done.to_tell == (code,)
    assert placed_now(desk) == bea.placed


def test_where_somebody_else_has_the_place_nothing_is_undone_and_it_is_said_who(desk: Desk) -> None:
    """Bea makes room at 09:10 and goes to 15:00; Ann is in at 09:00 then, and Cora at 09:20, before it is undone."""
    bea = desk.booked(limits(1, wish=550), desk.bea)
    room = room_for_ann(desk)
    (code,) = bea.placed
    away = at(bea.placed[code], 900)
    booked = book_in(desk, replace(room, moves=(replace(room.moves[0], placed=away),)))
    cora = make_patient(desk.store, "Cora New", actor="desk").id
    theirs = desk.booked(limits(1, wish=560), cora)
    now = placed_now(desk)
    refused = undo(desk.store, booked, actor="other desk")
    assert isinstance(refused, Refused)
    assert placed_now(desk) == now
    holders = {one for reason in who_took_it(desk.ready, refused) for one in reason.holders}
    assert holders == {Holder(next(iter(theirs.placed)), "Cora New", "desk")}


def test_who_made_room_and_was_moved_again_is_named_by_the_visit_and_all_stay(desk: Desk) -> None:
    desk.booked(limits(1, wish=540), desk.bea)
    booked = book_in(desk, room_for_ann(desk))
    (code,) = booked.before
    to, version = at(booked.placed[code], 900), kept(desk.store).version
    assert isinstance(move(desk.store, MONDAY, code, MONDAY, to, read=version, actor="desk", clock=clock), Moved)
    now = placed_now(desk)
    with pytest.raises(InputError, match=f"visit {code} was moved to make room, and was changed again"):
        undo(desk.store, booked, actor="desk")
    assert placed_now(desk) == now


def test_who_made_room_and_is_there_already_is_not_moved_back(desk: Desk) -> None:
    desk.booked(limits(1, wish=540), desk.bea)
    booked = book_in(desk, room_for_ann(desk))
    (code,) = booked.before
    step(desk.store, visit_ids(desk.store, MONDAY)[code], "arrived", seen=0, actor="desk")
    now = placed_now(desk)
    with pytest.raises(InputError, match="its status is arrived"):
        undo(desk.store, booked, actor="desk")
    assert placed_now(desk) == now


def test_a_place_before_that_breaks_a_rule_is_refused(desk: Desk) -> None:
    """What stands in a form is not believed."""
    desk.booked(limits(1, wish=540), desk.bea)
    booked = book_in(desk, room_for_ann(desk))
    now = placed_now(desk)
    (code,) = booked.before
    night = at(now[code], 1200)
    assert isinstance(undo(desk.store, replace(booked, before={code: night}), actor="desk"), Refused)
    with pytest.raises(InputError, match="changed since"):
        undo(desk.store, replace(booked, before={**booked.placed, "nobody": night}), actor="desk")
    assert placed_now(desk) == now
