"""A course in the plans of whole days: each session an offer, and what is missing said."""

from dataclasses import replace
from datetime import timedelta

from solver.course_choice import Course, DayStarts
from solver.courses import place_course, starts_by_therapist
from solver.masks.bits import minutes_of
from solver.offering.loaded import LoadedPlan
from solver.offers import offers
from tests.builders import a_day, a_part, a_plan, a_therapist, a_visit, hands_on, placed, still
from tests.solver.courses.small_courses import MONDAY
from tests.solver.offering.test_offers import keeps_every_rule

NEW = a_visit(id="new")


def a_loaded(number: int, *, full: bool = False) -> LoadedPlan:
    """A day of half an hour with two therapists, A all of it and B in the last twenty minutes; or one without room."""
    block = a_visit(a_part(hands_on(30)), id="block")
    staff = [a_therapist("A"), a_therapist("B", hours="09:10-09:30")]
    day = replace(a_day(block, close="09:30", step_min=10, staff=staff), date=MONDAY + timedelta(days=number))
    if full:
        other = a_visit(a_part(hands_on(20)), id="other")
        day = replace(day, visits=(block, other))
        return LoadedPlan(
            day,
            a_plan(
                day,
                placed(block, "09:00", hands="A"),
                placed(other, "09:10", hands="B", bay="F2", channels={"pads": ["s2"]}),
            ),
        )
    return LoadedPlan(day, a_plan(day))


def test_starts_by_therapist_are_the_offers_with_each() -> None:
    loaded = a_loaded(0)
    starts = starts_by_therapist(loaded, NEW)
    assert {who: list(minutes_of(mask)) for who, mask in starts.by.items()} == {"A": [540, 550, 560], "B": [550, 560]}
    every = {minute for mask in starts.by.values() for minute in minutes_of(mask)}
    assert every == {offer.parts[0].start for offer in offers(loaded.day, loaded.plan, NEW)}


def test_a_visit_without_a_therapist_is_offered_with_nobody() -> None:
    alone = a_visit(a_part(still(10)), id="alone")
    assert list(starts_by_therapist(a_loaded(0), alone).by) == [None]


def test_every_session_is_right_in_its_day() -> None:
    days = [a_loaded(n) for n in range(4)]
    course = place_course(days, NEW, Course(sessions=3, therapist_wish="B", wish=550))
    assert course.missing is None
    assert [each.number for each in course.placed] == [1, 2, 3]
    for loaded, each in zip(days, course.placed, strict=False):
        assert (each.session.start, each.placed.therapist) == (550, "B")
        whole = replace(loaded.day, visits=(*loaded.day.visits, NEW))
        assert keeps_every_rule(whole, loaded.plan, each.placed)


def test_what_is_missing_is_said_day_by_day() -> None:
    """Monday works, Tuesday is full, Wednesday is closed, Thursday is no day of the course, Friday is too late."""
    days = [a_loaded(0), a_loaded(1, full=True), a_loaded(3), a_loaded(4)]
    wanted = Course(sessions=3, most_days=3, weekdays=frozenset({0, 1, 2, 4}))
    late = Course(sessions=3, most_days=3, weekdays=frozenset({0, 1, 2}))
    course = place_course(days, NEW, late)
    missing = course.missing
    assert len(course.placed) == 1
    assert missing is not None
    assert (missing.first, missing.last) == (2, 3)
    assert (missing.earliest, missing.latest) == (MONDAY + timedelta(days=1), MONDAY + timedelta(days=3))
    assert missing.full == (MONDAY + timedelta(days=1),)
    assert missing.closed == (MONDAY + timedelta(days=2),)
    assert missing.other_weekdays == (MONDAY + timedelta(days=3),)
    assert missing.text.startswith("sessions 2 to 3: no day with an opening from 2031-03-04 until 2031-03-06 (full: 1")
    assert len(place_course(days, NEW, replace(wanted, most_days=4)).placed) == 2


def test_nothing_is_there_without_days() -> None:
    course = place_course([], NEW, Course(sessions=2))
    assert course.placed == ()
    assert course.missing is not None
    assert course.missing.text == "sessions 1 to 2: no day was given"


def test_starts_found_before_are_not_looked_for_again() -> None:
    days = [a_loaded(n) for n in range(2)]
    known = {days[0].day.date: DayStarts(date=days[0].day.date, by={})}
    course = place_course(days, NEW, Course(sessions=2), known)
    assert [each.session.date for each in course.placed] == [days[1].day.date]
    assert known.keys() == {loaded.day.date for loaded in days}
