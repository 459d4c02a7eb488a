"""A clinic's days: read whole, and saved on the one path there is.

Saving takes the write lock before it reads anything, so what it checks is what it changes: that the day still has the
version that was read, that the plan keeps every rule of the day as it then is. Then everything is written, the version
goes up and the audit says what was changed; or nothing is.
"""

import datetime
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from sqlmodel import Session

from app.db.store import Store
from app.errors import StaleDayError
from app.models import Clinic, ClinicDay
from app.queries.audits import add_audit, audits_since
from app.queries.booked_treatments import treatments_of_day
from app.queries.clinics import the_clinic
from app.queries.day_figures import write_figures
from app.queries.days import day_row, read_day, write_frame, write_told
from app.queries.new_days import new_day_by
from app.queries.plan_reading import current_plan
from app.queries.plan_writing import write_plan
from app.queries.set_up_reading import set_up_of
from app.queries.visits import NOTHING_SAID, BookedWith, write_visits
from app.services.changes import changes, in_words
from solver.errors import PlanRefusedError
from solver.jsonio import day_document, plan_document
from solver.problem import Day
from solver.report.sums import day_sums
from solver.schedule import PlacedVisit, Plan
from solver.verify import verify

Document = dict[str, Any]


@dataclass(frozen=True, slots=True)
class KeptDay:
    """A day as it is kept. ``plan`` None: none was saved. ``version`` counts from 1."""

    day: Day
    plan: Plan | None
    version: int

    def placed(self, code: str) -> PlacedVisit | None:
        """The visit where the plan has it; None where there is none, or it leaves the visit out."""
        return None if self.plan is None else next((one for one in self.plan.visits if one.id == code), None)


def kept_day(store: Store, date: datetime.date) -> KeptDay | None:
    """The day of the date; None where there is none."""
    with store.reading() as session:
        clinic = the_clinic(session)
        row = day_row(session, clinic.id or 0, date)
        return None if row is None else kept(session, row)


def new_day(store: Store, date: datetime.date) -> Day | None:
    """What a day would be that nobody has booked yet, from weekly hours, absences, closures and out-of-service times.

    The day itself where it was booked meanwhile; None where the clinic is closed then. Nothing is kept. Raises
    InputError where what is set up makes no day.
    """
    with store.reading() as session:
        clinic = the_clinic(session)
        row = day_row(session, clinic.id or 0, date)
        return new_day_by(set_up_of(session, clinic), date) if row is None else read_day(session, row)


def save_day(
    store: Store,
    day: Day,
    plan: Plan | None,
    *,
    read: int,
    actor: str,
    booked: Mapping[str, BookedWith] = NOTHING_SAID,
) -> int:
    """Keep the day and its plan; the version that they are then. Nothing is changed where they are as they were.

    ``read`` is the version that the caller read, 0 where there was no such day. ``plan`` None: the plan that is kept
    stays, if it keeps every rule of the new day. ``actor``: who does it, for the audit. ``booked``: by visit, what new
    ones are booked with.

    Raises StaleDayError where the day was changed since, PlanRefusedError where the plan breaks a rule, StoreError
    where the database cannot be written. In each case everything stays as it was.
    """
    with store.writing() as session:
        clinic = the_clinic(session, to_write=True)
        return save_day_within(session, clinic, day, plan, read=read, actor=actor, booked=booked)


def save_day_within(
    session: Session,
    clinic: Clinic,
    day: Day,
    plan: Plan | None,
    *,
    read: int,
    actor: str,
    booked: Mapping[str, BookedWith] = NOTHING_SAID,
    known: KeptDay | None = None,
) -> int:
    """``save_day`` as a part of a transaction that writes other things too: it got the clinic ``to_write`` first.

    ``known``: the day as it is kept, where the caller has read it in that version already.
    """
    assert clinic.id is not None
    row = day_row(session, clinic.id, day.date)
    version = 0 if row is None else row.version
    if version != read:
        raise StaleDayError(day.date, read, version, () if row is None else _changed_since(session, row, read))
    old = None if row is None else known or kept(session, row)
    old_plan = None if old is None else old.plan
    plan = old_plan if plan is None else plan
    if plan is not None:
        _refuse_if_wrong(day, plan)
    was, document = None if old is None else day_document(old.day), day_document(day)
    if old is not None and _same(was, document) and _same_plan(old_plan, plan):
        return version
    if row is not None:
        row.version += 1
    if was is None or not _same(_frame(was), _frame(document)):
        row = write_frame(session, clinic, row, day, document)
    assert row is not None
    assert row.id is not None
    write_told(session, row.id, (was or {}).get("published", []), document["published"])
    visits = (was or {}).get("visits", [])
    if was is None or not _same(visits, document["visits"]):
        by_id = {visit["id"]: visit for visit in visits}
        write_visits(session, clinic.id, row.id, day.visits, document["visits"], by_id, booked)
    if plan is not None:
        write_plan(session, row, day, plan)
        write_figures(session, row, day_sums(day, plan, treatments_of_day(session, row.id)))
    before, after = changes(was, document, old_plan, plan)
    add_audit(session, clinic.id, actor, "saved", f"day {day.date}", day=row, before=before, after=after)
    return row.version


def kept(session: Session, row: ClinicDay) -> KeptDay:
    """The day of the row."""
    return KeptDay(read_day(session, row), current_plan(session, row), row.version)


def _refuse_if_wrong(day: Day, plan: Plan) -> None:
    if plan.status == "infeasible":
        raise PlanRefusedError(["status: the plan places nobody, because what is fixed cannot all stand"])
    breaches = verify(day, plan)
    if breaches:
        raise PlanRefusedError(str(breach) for breach in breaches)


def _changed_since(session: Session, row: ClinicDay, version: int) -> Iterator[str]:
    for audit in audits_since(session, row, version):
        for line in in_words(audit.before, audit.after):
            yield f"version {audit.day_version}, {audit.actor}: {line}"


def _frame(document: Document) -> Document:
    """All but what a booking changes."""
    return {key: value for key, value in document.items() if key not in ("visits", "published")}


def _same_plan(one: Plan | None, other: Plan | None) -> bool:
    if one is None or other is None:
        return one is other
    return _same(plan_document(one), plan_document(other))


def _same(one: object, other: object) -> bool:
    """Equal in everything, the order of keys too: that order is part of a file."""
    return json.dumps(one) == json.dumps(other)
