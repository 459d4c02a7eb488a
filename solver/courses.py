"""A course in one go: a visit that comes so many times, on different days, at the same hour with the same therapist.

**What a right choice is.** At most one session a day. From one session to the next there are at least ``least_days``
and at most ``most_days``, also from and to those that are ``booked`` already and next to it. Each starts within
``hours``, on one of the ``weekdays``, where the day's plan has an offer.

**Which one is the best.** In this order: most sessions; fewest minutes, in all, between the sessions' starts and the
hour of the course; fewest different therapists; fewest sessions without the wished therapist, where one is wished for;
the last session's day as early as can be. The hour is the wished one, else the one that makes the minutes fewest.

Where not all sessions fit, the last ones are missing: no chain of days has more.
"""

from collections.abc import MutableMapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from solver.course_choice import Course, DayStarts, Session, Sessions, choose_sessions, within
from solver.offering.loaded import LoadedPlan
from solver.offers import possible_starts
from solver.schedule import PlacedVisit
from solver.visits import Visit


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedSession:
    """``number``: from 1."""

    number: int
    session: Session
    placed: PlacedVisit


@dataclass(frozen=True, slots=True, kw_only=True)
class MissingSessions:
    """Sessions ``first`` to ``last`` are missing, since from ``earliest`` on the first of them finds no day.

    ``latest`` None: no limit. The dates between them: ``closed`` are not among the days that were given (nor beyond the
    last of those), ``other_weekdays`` are not asked for, ``full`` have no offer within the hours.
    """

    first: int
    last: int
    earliest: date | None
    latest: date | None
    closed: tuple[date, ...]
    other_weekdays: tuple[date, ...]
    full: tuple[date, ...]

    @property
    def text(self) -> str:
        which = f"session {self.first}" if self.first == self.last else f"sessions {self.first} to {self.last}"
        if self.earliest is None:
            return f"{which}: no day was given"
        until = f" until {self.latest}" if self.latest is not None else ""
        counted = ((self.full, "full"), (self.closed, "closed"), (self.other_weekdays, "other weekdays"))
        said = ", ".join(f"{word}: {len(dates)}" for dates, word in counted if dates)
        return f"{which}: no day with an opening from {self.earliest}{until} ({said or 'beyond the last day given'})"


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedCourse:
    """``sessions``: what was chosen; ``placed``: each in its day's plan; ``missing`` None: all are there."""

    sessions: Sessions
    placed: tuple[PlacedSession, ...]
    missing: MissingSessions | None


def place_course(
    days: Sequence[LoadedPlan],
    visit: Visit,
    course: Course,
    known: MutableMapping[date, DayStarts] | None = None,
) -> PlacedCourse:
    """The best way to place the course in the days' plans, of which nothing else changes.

    ``days``: in order of time, each date once, closed days absent. ``known``: starts found before for the same visit
    and plans; those that are missing in it are found and kept there. Raises InputError where days are not in order.
    """
    known = {} if known is None else known
    for loaded in days:
        if loaded.day.date not in known:
            known[loaded.day.date] = starts_by_therapist(loaded, visit)
    starts = [known[loaded.day.date] for loaded in days]
    sessions = choose_sessions(starts, course)
    by_date = {loaded.day.date: loaded for loaded in days}
    placed = tuple(
        PlacedSession(number=number, session=session, placed=_placed(by_date[session.date], visit, session))
        for number, session in enumerate(sessions.chosen, start=1)
    )
    return PlacedCourse(sessions=sessions, placed=placed, missing=missing_sessions(starts, course, sessions))


def starts_by_therapist(loaded: LoadedPlan, visit: Visit) -> DayStarts:
    """Every start on the day with each therapist who can have the visit then."""
    if not visit.needs_therapist:
        return DayStarts(date=loaded.day.date, by={None: possible_starts(loaded, visit)})
    members = [member.id for member in loaded.day.staff if visit.therapist_must in (None, member.id)]
    by = {id: possible_starts(loaded, replace(visit, therapist_must=id)) for id in members}
    return DayStarts(date=loaded.day.date, by={id: mask for id, mask in by.items() if mask})


def missing_sessions(days: Sequence[DayStarts], course: Course, sessions: Sessions) -> MissingSessions | None:
    """Which sessions are missing, and what is with the days on which the first of them might have been."""
    done = len(sessions.chosen)
    if done == course.sessions:
        return None
    earliest, latest = (days[0].date if days else None), None
    if sessions.chosen:
        earliest = sessions.chosen[-1].date + timedelta(days=course.least_days)
        if course.most_days is not None:
            latest = sessions.chosen[-1].date + timedelta(days=course.most_days)
    given = {day.date: day for day in days}
    until = min(latest or max(given, default=date.min), max(given, default=date.min))
    near = {each + timedelta(days=n) for each in course.booked for n in range(1 - course.least_days, course.least_days)}
    there = [] if earliest is None else [earliest + timedelta(days=n) for n in range((until - earliest).days + 1)]
    there = [each for each in there if each not in near]
    right = [each for each in there if each.weekday() in course.weekdays]
    return MissingSessions(
        first=done + 1,
        last=course.sessions,
        earliest=earliest,
        latest=latest,
        closed=tuple(each for each in right if each not in given),
        other_weekdays=tuple(each for each in there if each.weekday() not in course.weekdays),
        full=tuple(each for each in right if each in given and not within(given[each], course).by),
    )


def _placed(loaded: LoadedPlan, visit: Visit, session: Session) -> PlacedVisit:
    asked = visit if session.therapist is None else replace(visit, therapist_must=session.therapist)
    with loaded.without(asked) as openings:
        placed = openings.best(session.start)
    assert placed is not None, "a start that is possible can be completed"
    return placed
