"""Why a visit cannot start when it is wished to, and who took a place that was free when the desk looked."""

import datetime
from collections.abc import Collection, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from app.clock import Clock, clock_change
from app.db.store import Store
from app.queries.clinics import the_clinic
from app.queries.days import day_row
from app.queries.openings import placed_by
from app.queries.patients import names_of_codes
from app.services.openings.asking import Asked
from app.services.openings.booking import Refused
from app.services.openings.ready import ReadyDay, ReadyDays
from app.services.openings.search import Opening, not_past
from app.services.placing import fixed_as, without
from solver.clock import Interval
from solver.names import RuleName
from solver.offering.loaded import LoadedPlan
from solver.offering.obstacle import Obstacle
from solver.whynot import whynot_in


@dataclass(frozen=True, slots=True)
class Holder:
    """A visit that is in the way. ``actor``: who placed it since the desk looked; empty where it was there before."""

    visit: str
    patient: str
    actor: str = ""


@dataclass(frozen=True, slots=True)
class InTheWay:
    """``start`` to ``end``: minutes for which the resource is held, or wanted in vain where nobody holds it.

    ``patient`` of a holder is the patient's name: for display, never to be kept or put into an address.
    """

    rule: RuleName
    resource: str
    start: int
    end: int
    holders: tuple[Holder, ...]
    text: str


@dataclass(frozen=True, slots=True)
class WhyNot:
    """``past``: the start is, by the clock. ``fits``: it is an opening. ``nearest``: openings, one on either side where
    there is one, the closest first. ``clocks``: how the clock changes, where the visit would run into that."""

    date: datetime.date
    start: int
    state: str
    past: bool
    fits: bool
    reasons: tuple[InTheWay, ...]
    nearest: tuple[Opening, ...]
    clocks: str = ""


def why_not(ready: ReadyDays, asked: Asked, date: datetime.date, start: int, *, clock: Clock) -> WhyNot:
    """Why the visit cannot start at that minute of the date."""
    day = ready.on(date)
    visit = asked.on(day.day) if day.loaded is not None and day.day is not None else None
    if visit is None:
        return WhyNot(date, start, day.state, False, False, (), ())
    may = not_past(date, clock)
    with day.asked() as loaded:
        answer = whynot_in(loaded, visit, start)
    reasons = _named(ready.store, day, answer.reasons, {})
    nearest = tuple(
        Opening(date, day.version, placed, True) for placed in answer.nearest if may >> placed.parts[0].start & 1
    )
    clocks = "" if answer.fits else _clocks(ready.store, date, Interval(start, start + visit.minutes))
    return WhyNot(date, start, day.state, not may >> start & 1, answer.fits, reasons, nearest, clocks)


def _clocks(store: Store, date: datetime.date, wanted: Interval) -> str:
    with store.reading() as session:
        change = clock_change(date, ZoneInfo(the_clinic(session).time_zone))
    return change.said if change is not None and change.minutes.meets(wanted) else ""


def who_took_it(ready: ReadyDays, refused: Refused) -> tuple[InTheWay, ...]:
    """What stands in the way of the placement that was refused, by the day as it is now.

    Empty where nothing does any more, or where the placement was never one of the day.
    """
    day = ready.on(refused.date)
    if day.loaded is None or day.day is None:
        return ()
    with ready.store.reading() as session:
        row = day_row(session, the_clinic(session).id or 0, refused.date)
        actors = {} if row is None else placed_by(session, row, refused.read)
    found: list[Obstacle] = []
    for asked in refused.asked:
        visit = asked.on(day.day)
        placed = refused.placed.get(asked.visit.id)
        if visit is None or placed is None or len(placed.parts) != len(visit.parts):
            continue
        with _without(day, refused.leaving) as loaded:
            found += whynot_in(loaded, fixed_as(visit, placed), placed.parts[0].start).reasons
    return _named(ready.store, day, found, actors)


@contextmanager
def _without(day: ReadyDay, leaving: Collection[str]) -> Iterator[LoadedPlan]:
    """The loaded plan of the day without these visits."""
    if leaving and day.day is not None and day.plan is not None:
        yield LoadedPlan(*without(day.day, day.plan, leaving))
    else:
        with day.asked() as loaded:
            yield loaded


def _named(store: Store, day: ReadyDay, reasons: Sequence[Obstacle], actors: Mapping[str, str]) -> tuple[InTheWay, ...]:
    assert day.day is not None
    patients = {id: day.day.visit_by_id[id].patient for one in reasons for id in one.held_by}
    with store.reading() as session:
        names = names_of_codes(session, the_clinic(session).id or 0, list(set(patients.values())))
    return tuple(
        InTheWay(
            rule=one.rule,
            resource=one.resource,
            start=one.start,
            end=one.end,
            holders=tuple(Holder(id, names.get(patients[id], patients[id]), actors.get(id, "")) for id in one.held_by),
            text=one.text,
        )
        for one in reasons
    )
