"""The sessions of a course: against trying every choice, against an exact model, and at their usual sizes."""

from dataclasses import replace
from datetime import timedelta
from random import Random
from time import perf_counter

import pytest

from solver.course_choice import Course, DayStarts, choose_sessions
from solver.errors import InputError
from tests.solver.courses.exact_course import best_by_model
from tests.solver.courses.small_courses import MONDAY, best_by_trying, random_course, random_days, right, value

FEW_HOURS = (540, 555, 600)
MANY_HOURS = tuple(range(480, 840, 15))


@pytest.mark.parametrize("seed", range(300))
def test_no_choice_is_better_on_a_few_days(seed: int) -> None:
    random = Random(seed)
    staff = ["A", "B", "C"][: random.randint(1, 3)]
    days = random_days(random, random.randint(0, 5), FEW_HOURS, staff)
    course = random_course(random, 3, FEW_HOURS, staff)
    found = choose_sessions(days, course)
    assert right(found.chosen, course)
    assert all(day_has(days, session.date, session.start, session.therapist) for session in found.chosen)
    assert value(found.chosen, course) == best_by_trying(days, course)
    assert found.minutes_off == value(found.chosen, course)[1]


@pytest.mark.parametrize("seed", range(400))
def test_no_choice_is_better_where_sessions_are_booked_already(seed: int) -> None:
    random = Random(5000 + seed)
    staff = ["A", "B"][: random.randint(1, 2)]
    days = random_days(random, random.randint(1, 6), FEW_HOURS, staff)
    dates = [MONDAY + timedelta(days=n) for n in range(-3, 12)]
    booked = tuple(sorted(random.sample(dates, random.randint(1, 3))))
    days = [day for day in days if random.random() < 0.2 or day.date not in booked]
    course = replace(random_course(random, 3, FEW_HOURS, staff), booked=booked)
    found = choose_sessions(days, course)
    assert right(found.chosen, course)
    assert value(found.chosen, course) == best_by_trying(days, course)


def test_new_sessions_keep_their_distance_from_one_that_is_booked_later() -> None:
    course = Course(sessions=2, least_days=2, most_days=3, booked=(MONDAY + timedelta(days=7),))
    found = choose_sessions(weeks(2), course)
    assert [(session.date - MONDAY).days for session in found.chosen] == [1, 4]


def day_has(days: list[DayStarts], date: object, start: int, therapist: str | None) -> bool:
    (day,) = (day for day in days if day.date == date)
    return bool(day.by[therapist] >> start & 1)


@pytest.mark.parametrize("seed", range(12))
def test_the_exact_model_finds_nothing_better_on_two_weeks(seed: int) -> None:
    random = Random(1000 + seed)
    staff = ["A", "B", "C", "D"]
    days = random_days(random, 12, MANY_HOURS, staff)
    course = random_course(random, 6, MANY_HOURS, staff)
    found = choose_sessions(days, course)
    assert right(found.chosen, course)
    assert value(found.chosen, course) == best_by_model(days, course)


def weeks(count: int) -> list[DayStarts]:
    """Working days on which A is there in the mornings and B all day."""
    dates = (MONDAY + timedelta(days=n) for n in range(7 * count))
    by: dict[str | None, int] = {
        "A": sum(1 << m for m in range(540, 720, 15)),
        "B": sum(1 << m for m in range(540, 960, 15)),
    }
    return [DayStarts(date=day, by=by) for day in dates if day.weekday() < 5]


def test_ten_sessions_in_two_weeks() -> None:
    """10 sessions in 2 weeks: Yıldırım et al. 2015, J Phys Ther Sci 27:3667."""
    found = choose_sessions(weeks(2), Course(sessions=10, most_days=3, wish=600, therapist_wish="A"))
    assert [session.date for session in found.chosen] == [day.date for day in weeks(2)]
    assert {(session.start, session.therapist) for session in found.chosen} == {(600, "A")}


def test_three_a_week_for_four_weeks() -> None:
    """A usual course (common practice, no source): 3 a week for 4 weeks."""
    course = Course(sessions=12, least_days=2, most_days=3, weekdays=frozenset({0, 2, 4}))
    found = choose_sessions(weeks(5), course)
    assert len(found.chosen) == 12
    assert {session.date.weekday() for session in found.chosen} == {0, 2, 4}
    assert (found.chosen[-1].date - found.chosen[0].date).days == 25
    assert (found.minutes_off, len(found.therapists)) == (0, 1)


def test_the_hour_stands_above_the_therapist() -> None:
    days = [
        DayStarts(date=MONDAY + timedelta(days=n), by={"A": 1 << hour, "B": 1 << other})
        for n, (hour, other) in enumerate(((540, 600), (555, 540), (540, 600)))
    ]
    found = choose_sessions(days, Course(sessions=3, therapist_wish="A"))
    assert [(session.start, session.therapist) for session in found.chosen] == [(540, "A"), (540, "B"), (540, "A")]


def test_days_out_of_order_are_refused() -> None:
    with pytest.raises(InputError, match="in order of time"):
        choose_sessions([*weeks(1), *weeks(1)], Course(sessions=1))


def test_a_course_that_asks_for_nothing_possible_is_refused_fault_by_fault() -> None:
    with pytest.raises(InputError) as refused:
        Course(sessions=0, least_days=3, most_days=2, weekdays=frozenset({7}))
    assert len(refused.value.faults) == 3


def test_twelve_sessions_over_eight_weeks_are_chosen_at_once() -> None:
    """Goal 50 ms; ten times that here, since other tests may run beside this one."""
    random = Random(8)
    days = random_days(random, 40, MANY_HOURS, ["A", "B", "C"])
    begun = perf_counter()
    found = choose_sessions(days, Course(sessions=12, least_days=1, most_days=4))
    assert perf_counter() - begun < 0.5
    assert len(found.chosen) == 12
