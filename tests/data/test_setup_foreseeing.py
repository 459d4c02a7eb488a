"""What a change does to a day is found once, and again only where the day is another; meanwhile others may write."""

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from app.db.store import Store
from app.services.days import save_day
from app.services.setup import foreseeing
from app.services.setup.changing import BreaksVisitsError
from app.services.setup.dropping import After, after_the_change
from app.services.setup.foreseeing import in_mind, keep_in_mind
from app.services.setup.things import SaveThing
from tests.data.set_up_clinic import MONDAY, T1, U1, a_booked_day, changed, kept, save

NEXT = date(2031, 3, 17)
LATER = replace(T1, hours=("09:30-17:00", *T1.hours[1:]))


@pytest.fixture
def found(monkeypatch: pytest.MonkeyPatch) -> list[date]:
    """The days that are looked at, in their order."""
    dates: list[date] = []

    def counted(day: Any, *more: Any) -> After:
        dates.append(day.date)
        return after_the_change(day, *more)

    monkeypatch.setattr(foreseeing, "after_the_change", counted)
    return dates


def _asked(store: Store, change: SaveThing) -> str:
    with pytest.raises(BreaksVisitsError) as refused:
        save(store, change)
    return refused.value.effects.digest


def test_a_day_is_looked_at_once_until_it_is_saved(clinic: Store, found: list[date]) -> None:
    a_booked_day(clinic), a_booked_day(clinic, NEXT)
    change = changed(clinic, LATER)
    digest = _asked(clinic, change)
    assert found == [MONDAY, NEXT]
    save(clinic, change, digest)
    assert found == [MONDAY, NEXT]
    assert in_mind(clinic) == {}


def test_only_a_day_that_was_changed_meanwhile_is_looked_at_again(clinic: Store, found: list[date]) -> None:
    known = a_booked_day(clinic)
    a_booked_day(clinic, NEXT)
    change = changed(clinic, LATER)
    digest = _asked(clinic, change)
    save_day(clinic, replace(known.day, move_min=1), known.plan, read=known.version, actor="desk")
    save(clinic, change, digest)
    assert found == [MONDAY, NEXT, MONDAY]
    assert kept(clinic).day.move_min == 1


def test_a_day_of_the_same_version_that_was_saved_at_another_instant_is_another(
    clinic: Store, found: list[date]
) -> None:
    """As after a backup was put back."""
    a_booked_day(clinic)
    change = changed(clinic, LATER)
    digest = _asked(clinic, change)
    keep_in_mind(clinic, {id: replace(one, saved_at=None) for id, one in in_mind(clinic).items()})
    save(clinic, change, digest)
    assert found == [MONDAY, MONDAY]


def test_what_was_found_of_one_change_is_not_taken_for_another(clinic: Store, found: list[date]) -> None:
    a_booked_day(clinic)
    digest = _asked(clinic, changed(clinic, LATER))
    with pytest.raises(BreaksVisitsError) as refused:
        save(clinic, changed(clinic, replace(T1, hours=("10:30-17:00", *T1.hours[1:]))), digest)
    assert [one.visit for one in refused.value.effects.broken] == ["V1", "V2"]
    assert found == [MONDAY, MONDAY]


def test_while_days_are_looked_at_others_may_write(clinic: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """The desk moves to another day's version in the middle of it, and the change then goes by that."""
    known = a_booked_day(clinic)
    done: list[int] = []

    def interrupted(day: Any, *more: Any) -> After:
        if not done:
            moved = replace(known.day, move_min=1)
            done.append(save_day(clinic, moved, known.plan, read=known.version, actor="desk"))
        return after_the_change(day, *more)

    monkeypatch.setattr(foreseeing, "after_the_change", interrupted)
    save(clinic, changed(clinic, replace(U1, name="Blue one")))
    after = kept(clinic)
    assert done == [2]
    assert (after.version, after.day.move_min, after.day.unit_by_id["U1"].name) == (3, 1, "Blue one")
