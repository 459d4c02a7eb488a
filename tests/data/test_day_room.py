"""Days that are held ready are read again when, and only when, something that they show is another."""

from dataclasses import replace

import pytest

from app.db.store import Store
from app.queries.patients import rename_patients
from app.services.accounts import make_account
from app.services.day_room import DayRoom, Shown
from app.services.days import save_day
from app.services.forgetting import forget_patient
from app.services.setup.clinic_changes import SaveClosure
from app.services.setup.forms import ClosureForm
from tests.data.set_up_clinic import MONDAY, TUESDAY, U1, a_booked_day, changed, kept, save


@pytest.fixture
def room(clinic: Store) -> DayRoom:
    """Of a clinic with a booked Monday and a Tuesday that nobody has booked."""
    a_booked_day(clinic)
    return DayRoom(clinic)


def patients(shown: Shown) -> set[str]:
    assert shown.day is not None
    return {visit.patient for visit in shown.day.visits}


def test_what_is_not_about_the_day_leaves_it_as_it_was_read(clinic: Store, room: DayRoom) -> None:
    monday, tuesday = room.shown(MONDAY), room.shown(TUESDAY)
    make_account(clinic, "somebody", "desk", "", actor="test")
    assert room.shown(MONDAY) is monday
    assert room.shown(TUESDAY) is tuesday


def test_a_saved_version_is_shown(clinic: Store, room: DayRoom) -> None:
    room.shown(MONDAY)
    known = kept(clinic)
    save_day(clinic, replace(known.day, move_min=7), known.plan, read=known.version, actor="test")
    shown = room.shown(MONDAY)
    assert shown.day is not None
    assert (shown.day.move_min, shown.version) == (7, known.version + 1)


def test_another_name_of_a_patient_is_shown(clinic: Store, room: DayRoom) -> None:
    before = patients(room.shown(MONDAY))
    with clinic.writing() as session:
        rename_patients(session, 1, {"Ann Early": "Ann Later"})
    assert patients(room.shown(MONDAY)) == (before - {"Ann Early"}) | {"Ann Later"}


def test_a_forgotten_patient_is_shown_no_more(clinic: Store, room: DayRoom) -> None:
    assert "Ann Early" in patients(room.shown(MONDAY))
    forget_patient(clinic, "Ann Early")
    assert "Ann Early" not in patients(room.shown(MONDAY))


def test_a_change_of_the_set_up_is_shown_on_a_day_that_nobody_has_booked(clinic: Store, room: DayRoom) -> None:
    room.shown(TUESDAY)
    save(clinic, changed(clinic, replace(U1, name="Blue one")))
    shown = room.shown(TUESDAY)
    assert shown.day is not None
    assert shown.day.unit_by_id["U1"].name == "Blue one"


def test_a_closure_is_shown_on_a_day_that_nobody_has_booked(clinic: Store, room: DayRoom) -> None:
    assert room.shown(TUESDAY).state == "unbooked"
    save(clinic, SaveClosure(form=ClosureForm(date=TUESDAY.isoformat(), reason="holiday"), read=1))
    assert room.shown(TUESDAY).state == "closed"
