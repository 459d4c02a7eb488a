"""Is all well with a clinic's database, and with every plan that is still to come?"""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from sqlmodel import Session

from app.clock import Clock, wall_clock
from app.db import migrating
from app.db.keeping import faults_in
from app.db.store import Store, open_store
from app.errors import StoreError
from app.models import ClinicDay
from app.queries.clinics import the_clinic
from app.queries.days import day_rows_from, read_day
from app.queries.plan_reading import current_plan
from solver.errors import InputError
from solver.verify import verify


@dataclass(frozen=True, slots=True)
class Checked:
    """``faults``: a line each. ``days``: how many from ``since`` on were read; ``plans``: how many of them have one."""

    faults: Sequence[str]
    since: datetime.date | None = None
    days: int = 0
    plans: int = 0


def check_database(data: str, clock: Clock = wall_clock) -> Checked:
    """Check the database itself, then its revision, then each plan from today on, by the clinic's time zone.

    What is checked later rests on what was checked before it: where there is a fault, the rest is left out.
    Raises StoreError where it cannot be read as a database of ours at all.
    """
    store = open_store(data)
    try:
        if store.path is not None and not store.path.exists():
            raise StoreError(data, "there is no such file", "make one with: channelday init")
        damaged = faults_in(store)
        if damaged:
            return Checked(damaged)
        revision = migrating.revision_of(store)
        if revision is None:
            raise StoreError(store.name, "it holds no clinic", "make one with: channelday init")
        if revision != migrating.newest():
            migrating.check_known(store, revision)
            return Checked(
                [f"migrations: it is at {revision} and not at {migrating.newest()}; run: channelday upgrade"]
            )
        return _plans_checked(store, clock)
    finally:
        store.close()


def _plans_checked(store: Store, clock: Clock) -> Checked:
    faults: list[str] = []
    plans = 0
    with store.reading() as session:
        clinic = the_clinic(session)
        since = clock().astimezone(ZoneInfo(clinic.time_zone)).date()
        rows = day_rows_from(session, clinic.id or 0, since)
        for row in rows:
            has_plan, lines = _of_a_day(session, row)
            plans += has_plan
            faults += [f"day {row.date}: {line}" for line in lines]
    return Checked(faults, since, len(rows), plans)


def _of_a_day(session: Session, row: ClinicDay) -> tuple[bool, list[str]]:
    """Whether the day has a plan, and what is wrong with the day or the plan."""
    try:
        day = read_day(session, row)
        plan = current_plan(session, row)
    except InputError as error:
        return True, [str(fault) for fault in error.faults]
    except (LookupError, TypeError, ValueError):  # rows that were altered by hand can lack anything
        return True, ["its rows do not fit together"]
    return plan is not None, [] if plan is None else [str(breach) for breach in verify(day, plan)]
