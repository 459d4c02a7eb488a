"""Booking on the phone: one transaction through the day's one write path.

A booking asks for one placement. It is booked if that placement keeps every rule of the day as it then is, whether or
not the day was changed since the desk read it; else nothing is, and the desk is told who took what.
"""

import datetime
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from sqlmodel import Session

from app.clock import Clock, minute_of, wall_clock
from app.db.store import Store
from app.models import Clinic
from app.queries.clinics import the_clinic
from app.queries.days import day_row
from app.queries.new_days import new_day_by
from app.queries.openings import booked_with
from app.queries.plan_reading import plan_without
from app.queries.set_up_reading import set_up_of
from app.queries.visit_life import visits_with_status
from app.queries.visits import NOTHING_SAID, BookedWith
from app.services.days import KeptDay, kept, save_day_within
from app.services.openings.asking import Asked, Limits, Wanted, asked_within
from app.services.openings.off_list import refuse_if_off, take_off_booked
from app.services.placing import plan_with_breaks, with_placed
from app.services.visits.steps import BEGUN
from solver.clock import clock as as_clock
from solver.errors import Fault, InputError, PlanRefusedError
from solver.problem import Day
from solver.schedule import PlacedVisit, Plan
from solver.verify import verify
from solver.visits import Visit

GRACE_MIN = 30
"""So long after it a start of today can still be booked: the patient may stand at the desk since it was offered."""


@dataclass(frozen=True, slots=True)
class Booked:
    """``placed``: all that was placed, by visit; ``version``: of the day.

    ``before``: where those of them were that were moved to make room; the others are new. ``off_list``: the entry of
    the waiting list that was taken off for it.
    """

    date: datetime.date
    version: int
    placed: Mapping[str, PlacedVisit]
    before: Mapping[str, PlacedVisit] = field(default_factory=dict)
    off_list: int | None = None


@dataclass(frozen=True, slots=True)
class Refused:
    """Nothing was changed. ``asked``: what was asked for, to be asked about again; ``read``: the day's version then.

    ``leaving``: visits that hold nothing against it, since they would have left the day, or their places.
    """

    date: datetime.date
    read: int
    asked: tuple[Asked, ...]
    placed: Mapping[str, PlacedVisit]
    leaving: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Present:
    """A day within a transaction that may write it. ``known``: as it is kept; None where nothing of it is."""

    day: Day
    plan: Plan
    known: KeptDay | None
    row_id: int | None

    @property
    def version(self) -> int:
        """0 where nothing of it is kept."""
        return 0 if self.known is None else self.known.version

    def save(
        self,
        session: Session,
        clinic: Clinic,
        day: Day,
        plan: Plan,
        actor: str,
        booked: Mapping[str, BookedWith] = NOTHING_SAID,
    ) -> int:
        """Keep the day and its plan in the place of this; the version that they are then."""
        return save_day_within(
            session, clinic, day, plan, read=self.version, actor=actor, booked=booked, known=self.known
        )


def book(
    store: Store,
    date: datetime.date,
    wishes: Sequence[tuple[Wanted, Limits, PlacedVisit]],
    *,
    read: int,
    actor: str,
    clock: Clock = wall_clock,
    moved: Sequence[PlacedVisit] = (),
    waiting: int | None = None,
) -> Booked | Refused:
    """Book one visit, or several at once, as placed; their patients are told of it now.

    ``read``: the day's version that the desk saw. ``moved``: visits of the day that move to make room; their patients
    are not told yet. ``waiting``: the entry of the waiting list that is booked; it is taken off if one of the visits is
    what it is for. Booking again what is booked already, of the same code and in the same place, changes nothing.
    Raises InputError where something asked for does not exist, where the start is past, or where somebody else took
    the entry off the list, and StoreError.
    """
    for one in (*(placed for _, _, placed in wishes), *moved):
        refuse_if_past(date, clock, one)
    with store.writing() as session:
        clinic = the_clinic(session, to_write=True)
        present = present_day(session, clinic, date)
        asked = [asked_within(session, clinic, wanted, limits, code=one.id) for wanted, limits, one in wishes]
        placed = {one.id: one for _, _, one in wishes} | {one.id: one for one in moved}
        by_code = {one.id: wanted for wanted, _, one in wishes}
        if waiting is not None:
            refuse_if_off(session, clinic, waiting, by_code)
        refuse_if_begun(session, present, [one.id for one in moved])
        if is_booked(present, placed):
            row = day_row(session, clinic.id or 0, date) if moved else None
            before = _before(None if row is None else plan_without(session, row, by_code), moved)
            return _done(session, clinic, Booked(date, present.version, placed, before), waiting, by_code, actor)
        visits = [visit for one in asked if (visit := one.on(present.day)) is not None]
        refused = Refused(date, read, tuple(asked), placed)
        known = {visit.id for visit in present.plan.visits}
        taken = any(visit.id in present.day.visit_by_id for visit in visits)
        if taken or len(visits) < len(asked) or any(one.id not in known for one in moved):
            return refused
        booked = {one.visit.id: one.booked_with for one in asked}
        version = kept_if_right(session, clinic, present, visits, placed, actor, booked)
        if version is None:
            return refused
        before = _before(present.plan, moved)
        return _done(session, clinic, Booked(date, version, placed, before), waiting, by_code, actor)


def _before(plan: Plan | None, moved: Sequence[PlacedVisit]) -> Mapping[str, PlacedVisit]:
    ids = {one.id for one in moved}
    return {one.id: one for one in plan.visits if one.id in ids} if plan is not None else {}


def _done(
    session: Session, clinic: Clinic, booked: Booked, waiting: int | None, wanted: Mapping[str, Wanted], actor: str
) -> Booked:
    is_off = waiting is not None and take_off_booked(session, clinic, waiting, wanted, actor)
    return replace(booked, off_list=waiting if is_off else None)


def refuse_if_past(date: datetime.date, clock: Clock, placed: PlacedVisit | None = None) -> None:
    """Raises InputError where the date is past, or the start of the visit is by more than GRACE_MIN."""
    now = minute_of(clock, date)
    if date < clock().date():
        raise InputError([Fault("date", f"{date} is past", "choose a date from today on")])
    if placed is not None and now is not None and placed.parts[0].start + GRACE_MIN < now:
        what = f"{as_clock(placed.parts[0].start)} is past by now"
        raise InputError([Fault("start", what, "choose a later start")])


def present_day(session: Session, clinic: Clinic, date: datetime.date) -> Present:
    """The day as it is, or as weekly hours make it. Raises InputError where nothing can be booked on it."""
    row = day_row(session, clinic.id or 0, date)
    if row is not None:
        known = kept(session, row)
        plan = known.plan if known.plan is not None or known.day.visits else plan_with_breaks(known.day)
        if plan is None or plan.status == "infeasible":
            raise InputError([Fault("date", f"the visits of {date} are not planned yet", "plan that day first")])
        return Present(known.day, plan, known, row.id)
    day = new_day_by(set_up_of(session, clinic), date)
    if day is None:
        raise InputError([Fault("date", f"the clinic is closed on {date}", "choose another date")])
    plan = plan_with_breaks(day)
    if plan is None:
        raise InputError([Fault("date", f"the breaks of {date} find no room", "see to the weekly hours")])
    return Present(day, plan, None, None)


def booked_visit(session: Session, present: Present, code: str) -> tuple[Visit, BookedWith, int]:
    """The visit of the day, what it is booked with, and the id of its patient. Raises InputError: there is none."""
    refuse_if_begun(session, present, [code])
    visit = present.day.visit_by_id.get(code)
    found = None if present.row_id is None else booked_with(session, present.row_id, code)
    if visit is None or found is None:
        raise InputError([Fault("visit", f"there is no visit {code} on {present.day.date}", "look at the day again")])
    return visit, *found


def refuse_if_wrong(day: Day, plan: Plan) -> None:
    """Raises InputError with each broken rule."""
    breaches = verify(day, plan)
    if breaches:
        raise InputError(Fault(one.rule, one.text, "plan the day again") for one in breaches)


def is_booked(present: Present, placed: Mapping[str, PlacedVisit]) -> bool:
    there = {one.id: one for one in present.plan.visits}
    return all(there.get(id) == one for id, one in placed.items())


def kept_if_right(
    session: Session,
    clinic: Clinic,
    present: Present,
    visits: Sequence[Visit],
    placed: Mapping[str, PlacedVisit],
    actor: str,
    booked: Mapping[str, BookedWith],
) -> int | None:
    """The day's new version; None where a rule would be broken, and then nothing is written."""
    told = [visit.id for visit in visits]
    day, plan = with_placed(present.day, present.plan, visits, placed, told)
    try:
        return present.save(session, clinic, day, plan, actor, booked)
    except PlanRefusedError:  # before anything is written
        return None


def refuse_if_begun(session: Session, present: Present, codes: Iterable[str]) -> None:
    """Raises InputError for a visit whose patient is there, was treated or did not come."""
    if present.row_id is None:
        return
    begun = {one.row.code: one.status for one in visits_with_status(session, present.row_id, BEGUN)}
    faults = [
        Fault("visit", f"its status is {begun[code]}", "take that step back on the visit's page first")
        for code in codes
        if code in begun
    ]
    if faults:
        raise InputError(faults)
