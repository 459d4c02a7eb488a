"""Random days of starts, courses to be placed on them, and what a choice is worth, written without the solver."""

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from itertools import combinations, pairwise, product
from random import Random

from solver.clock import Interval
from solver.course_choice import Course, DayStarts, Session
from solver.masks.bits import minutes_of

Value = tuple[int, int, int, int, int]
"""Sessions missing, minutes off the hour, different therapists, sessions without the wish, the last day's number."""

MONDAY = date(2031, 3, 3)


def random_days(random: Random, count: int, hours: Sequence[int], staff: Sequence[str]) -> list[DayStarts]:
    """So many days, some dates left out, with a few starts each, or none."""
    found, day = [], MONDAY
    for _ in range(count):
        by = {
            who: sum(1 << hour for hour in random.sample(hours, random.randint(0, min(2, len(hours))))) for who in staff
        }
        found.append(DayStarts(date=day, by={who: mask for who, mask in by.items() if mask}))
        day += timedelta(days=random.choice((1, 1, 1, 2, 3)))
    return found


def random_course(random: Random, most_sessions: int, hours: Sequence[int], staff: Sequence[str]) -> Course:
    least = random.choice((1, 1, 2, 3))
    return Course(
        sessions=random.randint(1, most_sessions),
        least_days=least,
        most_days=random.choice((None, least, least + 1, least + 3)),
        weekdays=random.choice((frozenset(range(7)), frozenset(range(5)), frozenset({0, 2, 4}))),
        hours=random.choice((None, None, Interval(min(hours), max(hours)))),
        wish=random.choice((None, None, *hours)),
        therapist_wish=random.choice((None, *staff)),
    )


def right(sessions: Sequence[Session], course: Course) -> bool:
    new = {session.date for session in sessions}
    both = sorted([*(session.date for session in sessions), *course.booked])
    gaps = [(after - before).days for before, after in pairwise(both) if {before, after} & new]
    return (
        len(sessions) <= course.sessions
        and all(gap >= course.least_days for gap in gaps)
        and (course.most_days is None or all(gap <= course.most_days for gap in gaps))
        and all(session.date.weekday() in course.weekdays for session in sessions)
        and (course.hours is None or all(course.hours.start <= each.start < course.hours.end for each in sessions))
    )


def value(sessions: Sequence[Session], course: Course) -> Value:
    hours = [course.wish] if course.wish is not None else [session.start for session in sessions] or [0]
    return (
        course.sessions - len(sessions),
        min(sum(abs(session.start - hour) for session in sessions) for hour in hours),
        len({session.therapist for session in sessions}),
        sum(course.therapist_wish not in (None, session.therapist) for session in sessions),
        sessions[-1].date.toordinal() if sessions else 0,
    )


def best_by_trying(days: Sequence[DayStarts], course: Course) -> Value:
    """The best value of all choices of days, starts and therapists."""
    return min(value(chosen, course) for chosen in _every_choice(days, course))


def _every_choice(days: Sequence[DayStarts], course: Course) -> Iterator[tuple[Session, ...]]:
    for count in range(course.sessions, -1, -1):
        any_right = False
        for some in combinations(days, count):
            for chosen in product(*(list(_sessions(day)) for day in some)):
                if right(chosen, course):
                    any_right = True
                    yield chosen
        if any_right:
            return


def _sessions(day: DayStarts) -> Iterator[Session]:
    for who, mask in day.by.items():
        for start in minutes_of(mask):
            yield Session(date=day.date, start=start, therapist=who)
