"""The demo clinic's last two weeks: fewer visits than today, kept to their plans but for one patient a day who did not
come. All invented."""

import datetime
from collections.abc import Iterator
from dataclasses import replace
from random import Random
from zoneinfo import ZoneInfo

from app.clock import instant_of
from app.db.store import Store
from app.queries.audits import add_audit
from app.queries.clinics import the_clinic
from app.queries.days import day_row
from app.queries.visit_life import row_ids
from app.queries.visits import BookedWith
from app.services.days import kept_day, save_day
from app.services.demo_floor import Told, add_happened, happened_of, who_treats
from app.services.demo_treatments import versions_of
from solver.compose import explained, finished, plan_of
from solver.construct import construct
from solver.problem import Day
from solver.schedule import PlacedVisit, Plan

WORKING_DAYS = 10
FEWEST, MOST = 0.5, 0.9
"""How much of today's visits such a day has."""
AFTER = datetime.timedelta(minutes=10)
"""How long after its end a visit is signed, and after its begin a patient is given up."""


def make_past(store: Store, today: datetime.date, *, actor: str) -> None:
    """Plan and run the working days before today, each from some of today's visits."""
    kept = kept_day(store, today)
    assert kept is not None, "the demo's day is made first"
    booked = {id: BookedWith(version) for id, version in versions_of(store, kept.day).items()}
    for date in _working_days(today):
        random = Random(date.toordinal())
        count = round(len(kept.day.visits) * random.uniform(FEWEST, MOST))
        chosen = set(random.sample([visit.id for visit in kept.day.visits], count))
        visits = tuple(replace(visit, fixed=None) for visit in kept.day.visits if visit.id in chosen)
        day = replace(kept.day, date=date, visits=visits, published=())
        plan = _first_plan(day)
        save_day(store, day, plan, read=0, actor=actor, booked={id: booked[id] for id in chosen})
        _run(store, day, plan, random.choice(plan.visits).id, actor=actor)


def _working_days(today: datetime.date) -> list[datetime.date]:
    """The last ones before today, Mondays to Fridays, the oldest first."""
    before = (today - datetime.timedelta(days=back) for back in range(1, 2 * WORKING_DAYS))
    return [date for date in before if date.weekday() < 5][:WORKING_DAYS][::-1]


def _first_plan(day: Day) -> Plan:
    ledger = construct(day)
    assert ledger is not None, "nothing is fixed, and the breaks find room"
    return finished(day, explained(day, plan_of(day, ledger.visits, ledger.breaks)), dict.fromkeys(day.aims, 0))


def _run(store: Store, day: Day, plan: Plan, missed: str, *, actor: str) -> None:
    with store.writing() as session:
        clinic = the_clinic(session, to_write=True)
        row = day_row(session, clinic.id or 0, day.date)
        assert row is not None, "it was saved just before"
        ids, zone = row_ids(session, clinic.id or 0, day.date), ZoneInfo(row.time_zone)
        happened = [
            (told, ids[placed.id])
            for placed in plan.visits
            for told in (_missed(day, placed, zone) if placed.id == missed else _given(day, placed, zone))
        ]
        add_happened(session, row.id or 0, happened)
        add_audit(session, clinic.id or 0, actor, "made up what happened on", f"day {day.date}")


def _missed(day: Day, placed: PlacedVisit, zone: ZoneInfo) -> Iterator[Told]:
    begin = instant_of(day.date, placed.parts[0].start, zone)
    yield Told(begin + AFTER, "missed", None, who_treats(day, placed), {}, "noshow")


def _given(day: Day, placed: PlacedVisit, zone: ZoneInfo) -> Iterator[Told]:
    """All of it, and whoever gave it signs for it."""
    end = instant_of(day.date, placed.parts[-1].start + day.visit_by_id[placed.id].parts[-1].minutes, zone)
    yield from happened_of(day, placed, zone, end)
    yield Told(end + AFTER, "signed", None, who_treats(day, placed), {"note": ""})
