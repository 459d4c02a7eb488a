"""Openings over several days: what is found, in which order, and why not elsewhere."""

from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from app.services.days import kept_day, new_day
from app.services.openings.asking import asked_for
from app.services.openings.blocked import why_not
from app.services.openings.search import search
from app.services.setup.forms import MemberForm
from app.services.setup.things import SaveThing
from solver.clock import Interval
from solver.errors import InputError
from solver.offers import offers
from solver.verify import verify
from tests.data.front_desk import Desk, clock, limits
from tests.data.set_up_clinic import MONDAY, T1, TODAY, TUESDAY, a_booked_day, save


def test_every_start_of_a_booked_day_is_what_the_solver_offers_and_no_other(desk: Desk) -> None:
    known = a_booked_day(desk.store)
    assert known.plan is not None
    asked = asked_for(desk.store, desk.wanted(), limits(1))
    (found,) = search(desk.ready, asked, clock=clock).days
    assert list(found.starts) == [one.parts[0].start for one in offers(known.day, known.plan, asked.visit)]
    assert found.state == "planned"


def test_days_that_nobody_booked_are_asked_about_and_not_kept(desk: Desk) -> None:
    found = search(desk.ready, asked_for(desk.store, desk.wanted(), limits(7)), clock=clock)
    assert [day.state for day in found.days] == ["unbooked"] * 5 + ["closed"] * 2
    assert found.days[0].starts[0] == 9 * 60
    plan = desk.ready.on(MONDAY).plan
    assert plan is not None
    (taken,) = plan.breaks
    assert not any(taken.start - 20 < start < taken.end for start in found.days[0].starts)
    assert kept_day(desk.store, MONDAY) is None


def test_what_is_best_keeps_every_rule_of_its_day(desk: Desk) -> None:
    a_booked_day(desk.store)
    asked = asked_for(desk.store, desk.wanted(), limits(2))
    for opening in search(desk.ready, asked, clock=clock).best:
        ready = desk.ready.on(opening.date)
        assert ready.day is not None
        assert ready.plan is not None
        day = replace(ready.day, visits=(*ready.day.visits, asked.visit))
        plan = replace(ready.plan, visits=(*ready.plan.visits, opening.placed), scores={})
        assert {one.rule for one in verify(day, plan)} <= {"scores"}


def test_the_nearest_to_the_wish_comes_first_then_the_earliest_date(desk: Desk) -> None:
    best = desk.search(limits(3, wish=15 * 60))
    assert [(one.date, one.start) for one in best[:3]] == [(MONDAY + timedelta(days=n), 900) for n in range(3)]


def test_the_wished_therapist_comes_before_the_wished_hour(desk: Desk) -> None:
    other = MemberForm(code="T2", kind="therapist", watch_free="2", hours=("09:00-17:00",) * 5 + ("", ""))
    mornings = replace(T1, hours=("09:00-11:00",) * 5 + ("", ""), breaks=("",) * 7)
    save(desk.store, SaveThing(form=other, read=None))
    save(desk.store, SaveThing(form=mornings, read=1))
    best = desk.search(limits(1, wish=16 * 60, therapist_wish="T1"))
    assert (best[0].start, best[0].placed.therapist, best[0].wished) == (10 * 60 + 40, "T1", True)
    everyone = search(
        desk.ready, asked_for(desk.store, desk.wanted(), limits(1, therapist_wish="T1")), clock=clock
    ).days[0]
    assert set(everyone.wished) < set(everyone.starts)
    must = search(desk.ready, asked_for(desk.store, desk.wanted(), limits(1, therapist_must="T1")), clock=clock).days[0]
    assert set(must.starts) == everyone.wished


def test_weekdays_hours_and_tags_leave_out_what_is_not_asked_for(desk: Desk) -> None:
    hours = (Interval(10 * 60, 11 * 60),)
    found = search(
        desk.ready,
        asked_for(desk.store, desk.wanted(), limits(5, weekdays=frozenset({1}), hours=hours)),
        clock=clock,
    )
    assert {day.date for day in found.days if day.starts} == {TUESDAY}
    assert (found.days[1].starts[0], found.days[1].starts[-1]) == (600, 640)
    assert desk.search(limits(5, tags=("step-free",))) == ()


def test_nothing_that_is_past_today_is_offered(desk: Desk) -> None:
    asked = asked_for(desk.store, desk.wanted(), limits(1, first=TODAY))
    (found,) = search(desk.ready, asked, clock=lambda: datetime(2031, 3, 3, 15, 2)).days
    assert found.starts[0] == 15 * 60 + 5
    (over,) = search(desk.ready, asked, clock=lambda: datetime(2031, 3, 4, 9)).days
    assert over.starts == ()


def test_a_walk_in_is_asked_about_for_the_next_half_hour(desk: Desk) -> None:
    soon = limits(1, first=TODAY, within=Interval(720, 746))
    (found,) = search(desk.ready, asked_for(desk.store, desk.wanted(), soon), clock=clock).days
    assert found.starts == (720, 725, 730, 735, 740, 745)


def test_a_change_of_the_set_up_is_seen_by_the_next_search(desk: Desk) -> None:
    assert desk.search(limits(1))[0].start == 9 * 60
    save(desk.store, SaveThing(form=replace(T1, hours=("10:00-17:00",) * 5 + ("", "")), read=1))
    assert desk.search(limits(1))[0].start == 10 * 60


def test_why_not_names_rule_resource_holder_and_until_when(desk: Desk) -> None:
    # Ann's own visit V1 of the booked day is of another patient with that code; T1 has it in hands from 09:00 to 09:20.
    a_booked_day(desk.store)
    answer = why_not(desk.ready, asked_for(desk.store, desk.wanted(), limits(1)), MONDAY, 9 * 60 + 10, clock=clock)
    assert not answer.fits
    (reason,) = answer.reasons
    assert (reason.rule, reason.resource, reason.end) == ("hands", "T1", 9 * 60 + 20)
    assert [holder.visit for holder in reason.holders] == ["V1"]
    assert [one.start for one in answer.nearest][:1] == [9 * 60 + 20]


def test_why_not_of_an_opening_names_nothing(desk: Desk) -> None:
    answer = why_not(desk.ready, asked_for(desk.store, desk.wanted(), limits(1)), MONDAY, 9 * 60, clock=clock)
    assert (answer.fits, answer.reasons) == (True, ())
    assert new_day(desk.store, MONDAY) is not None


def test_a_treatment_of_another_patient_is_not_there(desk: Desk) -> None:
    with pytest.raises(InputError, match="treatment"):
        asked_for(desk.store, replace(desk.wanted(), treatment_version_id=999), limits(1))
    with pytest.raises(InputError, match="course"):
        asked_for(desk.store, desk.wanted(course=7), limits(1))
