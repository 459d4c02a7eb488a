"""A clinic that is open in the nights in which clocks change. Dublin's: IANA time zone database, file europe."""

from dataclasses import replace
from datetime import date

import pytest

from app.services.days import new_day
from app.services.openings.asking import asked_for
from app.services.openings.blocked import why_not
from app.services.openings.booking import Booked, Refused, book
from app.services.openings.search import search
from app.services.setup.clinic_changes import SaveOpening
from app.services.setup.forms import OpeningForm
from app.services.setup.things import SaveThing
from tests.data.front_desk import Desk, clock, limits
from tests.data.set_up_clinic import T1, save

SKIPPED, TWICE, PLAIN = date(2031, 3, 30), date(2031, 10, 26), date(2031, 3, 23)
NIGHTS = ("",) * 6 + ("00:00-06:00",)


@pytest.fixture
def night_desk(desk: Desk) -> Desk:
    save(desk.store, SaveOpening(form=OpeningForm(hours=NIGHTS), read=1))
    save(desk.store, SaveThing(form=replace(T1, hours=NIGHTS, breaks=("",) * 7), read=1))
    return desk


@pytest.mark.parametrize(("night", "how"), [(SKIPPED, "forward and skip"), (TWICE, "back and show twice")])
def test_nothing_is_offered_in_an_hour_that_is_no_one_hour_and_it_is_said_why(
    night_desk: Desk, night: date, how: str
) -> None:
    asked = asked_for(night_desk.store, night_desk.wanted(), limits(1, first=night))
    (found,) = search(night_desk.ready, asked, clock=clock).days
    assert [start for start in found.starts if 0 <= start <= 120] == [*range(0, 41, 5), 120]
    for start in (45, 60, 115):
        answer = why_not(night_desk.ready, asked, night, start, clock=clock)
        assert not answer.fits
        assert answer.clocks == f"clocks go {how} 01:00–02:00, so nothing is booked then"
        assert {40, 120} & {one.start for one in answer.nearest}
    assert why_not(night_desk.ready, asked, night, 350, clock=clock).clocks == ""


@pytest.mark.parametrize("night", [SKIPPED, TWICE])
def test_it_cannot_be_booked_either(night_desk: Desk, night: date) -> None:
    on_a_plain_night = limits(1, first=PLAIN, wish=90)
    (opening, *_) = night_desk.search(on_a_plain_night)
    assert opening.start == 90
    wish = (night_desk.wanted(), limits(1, first=night), opening.placed)
    refused = book(night_desk.store, night, [wish], read=0, actor="desk", clock=clock)
    assert isinstance(refused, Refused)
    assert isinstance(night_desk.book(opening, on_a_plain_night), Booked)


def test_by_day_such_a_date_is_as_any_other(night_desk: Desk) -> None:
    by_day = ("",) * 6 + ("09:00-17:00",)
    save(night_desk.store, SaveOpening(form=OpeningForm(hours=by_day), read=2))
    days = [new_day(night_desk.store, night) for night in (SKIPPED, TWICE)]
    assert [[unit.hours for unit in day.units] for day in days if day is not None] == [[None, None]] * 2
