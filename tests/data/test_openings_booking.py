"""Booking, undoing and moving: whole or not at all, with what was booked kept exactly."""

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest
from sqlmodel import select

from app.models import Audit, BookedVisit, LiveEvent, Patient
from app.queries.live_events import events_of_day
from app.services.days import kept_day
from app.services.openings.asking import asked_for
from app.services.openings.blocked import who_took_it
from app.services.openings.booking import Booked, Refused, book
from app.services.openings.making_room import Room, make_room
from app.services.openings.moving import Moved, move, move_asked
from app.services.openings.pairs import search_pairs
from app.services.openings.search import search
from app.services.openings.undoing import undo
from app.services.treatments.catalogue import read_treatment
from app.services.treatments.writing import make_treatment
from app.services.visits.about import about_visit, visit_ids
from app.services.visits.life import step, take_back
from solver.clock import Interval
from solver.errors import InputError
from solver.verify import verify
from tests.data.front_desk import Desk, clock, limits, part, treatment_form, visits_now
from tests.data.set_up_clinic import MONDAY, TUESDAY, a_booked_day, kept, placed_ids


def test_a_booking_makes_the_day_and_keeps_its_treatment_version_and_its_course(desk: Desk) -> None:
    course = desk.prescribed()
    booked = desk.booked(limits(), course=course)
    known = kept(desk.store)
    assert (booked.date, booked.version, known.version) == (MONDAY, 1, 1)
    assert known.plan is not None
    assert verify(known.day, known.plan) == []
    assert [one.id for one in known.day.published] == list(booked.placed)
    with desk.store.reading() as session:
        (row,) = visits_now(session)
        assert (row.treatment_version_id, row.course_id, row.patient_id) == (desk.pads, course, desk.ann)


def test_of_two_treatments_that_schedule_alike_the_one_asked_for_is_booked(desk: Desk) -> None:
    twin = make_treatment(desk.store, treatment_form(part(), name="Elbow pads"), actor="test")
    version = read_treatment(desk.store, twin).version_id
    other = replace(desk, pads=version)
    other.booked(limits())
    desk.booked(limits(), desk.bea)
    with desk.store.reading() as session:
        assert [row.treatment_version_id for row in visits_now(session)] == [version, desk.pads]


def test_a_course_that_is_booked_out_is_not_booked_further(desk: Desk) -> None:
    course = desk.prescribed()
    desk.booked(limits(), course=course)
    desk.booked(limits(first=TUESDAY), course=course)
    with pytest.raises(InputError, match="all its 2 sessions are booked"):
        asked_for(desk.store, desk.wanted(course=course), limits())


def test_the_code_of_a_visit_and_the_audit_name_nobody(desk: Desk) -> None:
    booked = desk.booked(limits())
    with desk.store.reading() as session:
        (patient,) = session.exec(select(Patient).where(Patient.id == desk.ann)).all()
        told = [f"{row.before}{row.after}{row.record}" for row in session.exec(select(Audit).where(Audit.day_id != 0))]
    assert told
    assert not any(word in text for text in [*told, *booked.placed] for word in ("Ann", "Early", patient.code))


def test_a_day_that_moved_on_still_takes_what_fits(desk: Desk) -> None:
    first, second = desk.search(limits())[0], desk.search(limits(wish=900), desk.bea)[0]
    assert isinstance(desk.book(first, limits()), Booked)
    done = desk.book(second, limits(wish=900), desk.bea)
    assert isinstance(done, Booked)
    assert (second.version, done.version) == (0, 2)
    assert set(placed_ids(kept(desk.store))) == {first.placed.id, second.placed.id}


def test_who_comes_second_to_a_slot_is_told_who_took_what_and_nothing_is_changed(desk: Desk) -> None:
    mine, theirs = desk.search(limits(), desk.bea)[0], desk.search(limits())[0]
    book(desk.store, MONDAY, [(desk.wanted(), limits(), theirs.placed)], read=0, actor="other desk", clock=clock)
    refused = desk.book(mine, limits(), desk.bea)
    assert isinstance(refused, Refused)
    assert kept(desk.store).version == 1
    taken = who_took_it(desk.ready, refused)
    assert {reason.rule for reason in taken} >= {"hands"}
    assert {(h.visit, h.patient, h.actor) for reason in taken for h in reason.holders} == {
        (theirs.placed.id, "Ann Early", "other desk")
    }
    again = search(desk.ready, refused.asked[0], clock=clock).best[0]
    assert isinstance(desk.book(again, limits(), desk.bea), Booked)


def test_booking_twice_by_two_presses_books_once(desk: Desk) -> None:
    opening = desk.search(limits())[0]
    one, other = desk.book(opening, limits()), desk.book(opening, limits())
    assert isinstance(one, Booked)
    assert one == other
    assert len(kept(desk.store).day.visits) == 1


def test_a_past_date_and_a_closed_one_are_refused(desk: Desk) -> None:
    opening = desk.search(limits())[0]
    wish = (desk.wanted(), limits(), opening.placed)
    with pytest.raises(InputError, match="past"):
        book(desk.store, MONDAY, [wish], read=0, actor="desk", clock=lambda: datetime(2031, 3, 11, 9))
    with pytest.raises(InputError, match="closed"):
        book(desk.store, date(2031, 3, 15), [wish], read=0, actor="desk", clock=clock)


def test_undo_takes_out_exactly_that_booking(desk: Desk) -> None:
    a_booked_day(desk.store)
    booked = desk.booked(limits(1))
    other = desk.booked(limits(1), desk.bea)
    undo(desk.store, booked, actor="desk")
    known = kept(desk.store)
    assert set(placed_ids(known)) == {"V1", "V2", "V3", *other.placed}
    assert [one.id for one in known.day.published] == list(other.placed)
    with pytest.raises(InputError, match="undone already"):
        undo(desk.store, booked, actor="desk")


def test_a_booking_that_was_moved_since_is_not_undone(desk: Desk) -> None:
    booked = desk.booked(limits(1))
    (code,) = booked.placed
    asked, _ = move_asked(desk.store, MONDAY, code, limits(1, wish=900))
    best = search(desk.ready, asked, clock=clock).best[0]
    assert isinstance(move(desk.store, MONDAY, code, MONDAY, best.placed, read=1, actor="desk", clock=clock), Moved)
    with pytest.raises(InputError, match="changed since"):
        undo(desk.store, booked, actor="desk")


def test_moves_that_make_room_are_offered_and_saved_in_one_press(desk: Desk) -> None:
    narrow = limits(1, hours=(Interval(540, 560),))
    first = desk.booked(limits(1, wish=540), desk.bea)
    assert desk.search(narrow) == ()
    room = make_room(desk.ready, asked_for(desk.store, desk.wanted(), narrow), MONDAY, clock=clock)
    assert room is not None
    assert room.placed is not None
    (moved,) = room.moves
    assert (moved.visit, moved.patient, moved.told) == (next(iter(first.placed)), "Bea Later", True)
    assert kept(desk.store).version == 1
    wish = (desk.wanted(), narrow, room.placed)
    done = book(desk.store, MONDAY, [wish], read=room.version, actor="desk", clock=clock, moved=[moved.placed])
    assert isinstance(done, Booked)
    known = kept(desk.store)
    assert set(placed_ids(known)) == {room.placed.id, moved.visit}
    # Bea was not told yet: what she knows is still where she was.
    assert known.day.published_by_id[moved.visit] == first.placed[moved.visit]


def test_two_patients_are_booked_at_once_or_not_at_all(desk: Desk) -> None:
    watched = {"min": "15", "hands": "nobody", "running": True}
    by_anyone = {
        "id": "p1",
        "channels": {"pads": "1"},
        "phases": [{"min": "5", "hands": "anyone", "running": False}, watched],
    }
    version = read_treatment(
        desk.store, make_treatment(desk.store, treatment_form(by_anyone, name="Pads, watched"), actor="test")
    ).version_id
    both = [replace(desk.wanted(who), treatment_version_id=version) for who in (desk.ann, desk.bea)]
    one, other = (asked_for(desk.store, wanted, limits(2)) for wanted in both)
    found = search_pairs(desk.ready, one, other, same_unit=True, clock=clock)
    assert found.is_all
    none = search_pairs(desk.ready, one, other, same_unit=True, clock=clock, seconds=0)
    assert (none.pairs, none.is_all) == ((), False)
    pair = found.pairs[0]
    assert pair.first.parts[0].unit == pair.second.parts[0].unit
    assert pair.first.parts[0].start == pair.second.parts[0].start
    wishes = [(both[0], limits(2), pair.first), (both[1], limits(2), pair.second)]
    done = book(desk.store, pair.date, wishes, read=pair.version, actor="desk", clock=clock)
    assert isinstance(done, Booked)
    known = kept_day(desk.store, pair.date)
    assert known is not None
    assert known.plan is not None
    assert verify(known.day, known.plan) == []
    undo(desk.store, done, actor="desk")
    assert kept(desk.store, pair.date).day.visits == ()


def began(desk: Desk, visit_id: int) -> list[str | None]:
    """Let the visit's part begin on the Floor; whose parts have begun, by that day's events."""
    with desk.store.writing() as session:
        row = session.exec(select(BookedVisit).where(BookedVisit.id == visit_id)).one()
        moment = datetime(2031, 3, 10, 9, tzinfo=UTC)
        event = LiveEvent(
            day_id=row.day_id,
            key=f"start {visit_id}",
            visit_id=visit_id,
            part=0,
            kind="started",
            at=moment,
            received_at=moment,
            actor="T1",
            detail={},
        )
        session.add(event)
        session.flush()
        return [code for _, code in events_of_day(session, row.day_id)]


def test_a_stale_page_books_what_was_cancelled_as_a_visit_of_its_own(desk: Desk) -> None:
    """Of the same code as before, since the page has it; nothing of what became of the other is its own."""
    opening = desk.search(limits())[0]
    booked = desk.booked(limits())
    (code,) = booked.placed
    before = visit_ids(desk.store, booked.date)[code]
    assert began(desk, before) == [code]
    step(desk.store, before, "cancelled", "is ill", seen=0, actor="desk")
    again = desk.book(replace(opening, placed=booked.placed[code]), limits())
    assert isinstance(again, Booked)
    now = visit_ids(desk.store, booked.date)[code]
    assert began(desk, now) == [code]
    step(desk.store, now, "arrived", seen=0, actor="desk")
    said = [about_visit(desk.store, id) for id in (before, now)]
    assert [(one.status, one.is_there, len(one.history)) for one in said if one is not None] == [
        ("cancelled", False, 1),
        ("arrived", True, 1),
    ]
    with pytest.raises(InputError, match="somebody else's"):
        take_back(desk.store, before, seen=1, actor="desk")


def test_a_start_of_this_morning_is_past_but_one_of_a_moment_ago_is_booked(desk: Desk) -> None:
    """A tab that was open since; and somebody who stands at the desk."""
    opening = desk.search(limits(1, wish=600))[0]
    wish = (desk.wanted(), limits(1), opening.placed)

    def at(hour: int, minute: int) -> Booked | Refused:
        return book(desk.store, MONDAY, [wish], read=0, actor="desk", clock=lambda: datetime(2031, 3, 10, hour, minute))

    with pytest.raises(InputError, match="10:00 is past by now"):
        at(10, 31)
    assert isinstance(at(10, 30), Booked)


def test_a_wish_for_a_therapist_who_is_gone_keeps_nobody_from_being_booked(desk: Desk) -> None:
    asked = asked_for(desk.store, desk.wanted(), limits(1, therapist_wish="T9"))
    opening = search(desk.ready, asked, clock=clock).best[0]
    assert isinstance(desk.book(opening, limits(1, therapist_wish="T9")), Booked)
    assert [visit.therapist_wish for visit in kept(desk.store).day.visits] == [None]
    must = asked_for(desk.store, desk.wanted(desk.bea), limits(1, therapist_must="T9"))
    assert search(desk.ready, must, clock=clock).best == ()


def test_nobody_makes_room_who_is_there_or_has_begun_and_nothing_moves_into_the_past(desk: Desk) -> None:
    """T1 alone treats. Bea at 10:00; Ann could come between 10:00 and 10:20 only."""
    bea = desk.booked(limits(1, wish=600), desk.bea)
    (code,) = bea.placed
    asked = asked_for(desk.store, desk.wanted(), limits(1, hours=(Interval(600, 620),)))

    def room(hour: int, minute: int = 0) -> Room:
        found = make_room(desk.ready, asked, MONDAY, clock=lambda: datetime(2031, 3, 10, hour, minute))
        assert found is not None
        return found

    early = room(9, 50)
    (moved,) = early.moves
    assert moved.after.start == 620
    assert room(8).moves[0].after.start == 580
    assert (room(10, 1).placed, room(15).placed) == (None, None)
    assert early.placed is not None
    step(desk.store, visit_ids(desk.store, MONDAY)[code], "arrived", seen=0, actor="desk")
    assert room(9, 50).placed is None
    wish = (desk.wanted(), limits(1), early.placed)
    with pytest.raises(InputError, match="its status is arrived"):
        book(desk.store, MONDAY, [wish], read=1, actor="desk", clock=clock, moved=[moved.placed])
