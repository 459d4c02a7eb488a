"""Moving a booked visit: elsewhere on its day, or to another, both days in one transaction."""

import datetime
from dataclasses import dataclass, replace

from sqlmodel import Session

from app.clock import Clock, wall_clock
from app.db.store import Store
from app.queries.clinics import the_clinic
from app.queries.openings import booked_with
from app.queries.plan_reading import place_before
from app.queries.visit_life import first_ids_of
from app.services.openings.asking import Asked, Limits, new_code, with_limits
from app.services.openings.booking import (
    Booked,
    Present,
    Refused,
    booked_visit,
    is_booked,
    present_day,
    refuse_if_past,
    refuse_if_wrong,
)
from app.services.placing import with_placed, without
from solver.errors import Fault, InputError
from solver.schedule import PlacedVisit
from solver.verify import verify


@dataclass(frozen=True, slots=True)
class Moved:
    """``before``: where the visit was, None where the plan had left it out; ``after``: where it is. ``patient_id``:
    whose it is; None where that was not read."""

    before_date: datetime.date
    before: PlacedVisit | None
    after: Booked
    patient_id: int | None = None

    @property
    def code(self) -> str:
        """What the visit is called now."""
        return next(iter(self.after.placed))


def move_asked(store: Store, date: datetime.date, code: str, limits: Limits) -> tuple[Asked, int]:
    """The booked visit as it is asked about to be moved, and the id of its patient.

    Nothing that was fixed of it is asked for. On its own day the room that it has is free for it. Raises InputError
    where there is no such visit.
    """
    with store.reading() as session:
        clinic = the_clinic(session)
        present = present_day(session, clinic, date)
        visit, booked_with, patient_id = booked_visit(session, present, code)
        visit = with_limits(replace(visit, fixed=None), limits)
        return Asked(visit, limits, booked_with, own=date), patient_id


def move(
    store: Store,
    date: datetime.date,
    code: str,
    to: datetime.date,
    placed: PlacedVisit,
    *,
    limits: Limits | None = None,
    read: int,
    actor: str,
    clock: Clock = wall_clock,
    called: str | None = None,
) -> Moved | Refused:
    """Move the visit of the date as placed, and tell its patient; what was fixed of it is not any more.

    ``limits``: those it has from now on; None: as it has. ``read``: the version of the day it goes to, as the desk saw
    it. ``called``: the code that it goes by there; None: its own. On a day on which that is taken it gets another, and
    is the same visit still. Moving again what was moved so already changes nothing. Raises InputError where there is no
    such visit, where its day or the start it goes to is past, or where the others of its day could not stay without it.
    """
    if date < clock().date():
        right = "say on the visit's page what became of it, and book it anew"
        raise InputError([Fault("visit", f"its day, {date}, is past", right)])
    refuse_if_past(to, clock, placed)
    with store.writing() as session:
        clinic = the_clinic(session, to_write=True)
        source = present_day(session, clinic, date)
        target = source if to == date else present_day(session, clinic, to)
        done = _moved_so(session, source, target, code, placed) if target.version != read else None
        if done is not None:
            return done
        visit, said, patient_id = booked_visit(session, source, code)
        before = next((one for one in source.plan.visits if one.id == code), None)
        visit = replace(visit, fixed=None)
        if limits is not None:
            visit = with_limits(visit, limits)
        if to != date:
            there = target.day.visit_by_id
            names = (called or code, placed.id, new_code())
            visit = replace(visit, id=next(name for name in names if name not in there))
        placed = replace(placed, id=visit.id)
        asked = Asked(visit, limits or Limits(first=to, last=to), said)
        refused = Refused(to, read, (asked,), {visit.id: placed})
        moved = asked.on(target.day)
        if moved is None:
            return refused
        day, plan = with_placed(target.day, target.plan, [moved], {visit.id: placed}, [visit.id])
        if verify(day, plan):
            return refused
        if to != date:
            left_day, left_plan = without(source.day, source.plan, [code])
            refuse_if_wrong(left_day, left_plan)
            source.save(session, clinic, left_day, left_plan, actor)
        version = target.save(session, clinic, day, plan, actor, {visit.id: said})
        return Moved(date, before, Booked(to, version, {visit.id: placed}), patient_id)


def _moved_so(session: Session, source: Present, target: Present, code: str, placed: PlacedVisit) -> Moved | None:
    """The move as it was done, where the visit is where it is to go and was moved there from the source."""
    if source.row_id is None or target.row_id is None or not is_booked(target, {placed.id: placed}):
        return None
    there = booked_with(session, target.row_id, placed.id)
    if there is None or there[0].first_id not in first_ids_of(session, source.row_id, code):
        return None
    before = place_before(session, source.row_id, code, placed)
    after = Booked(target.day.date, target.version, {placed.id: placed})
    return Moved(source.day.date, before, after, there[1])


def move_back(store: Store, moved: Moved, *, actor: str) -> Moved | Refused:
    """Undo exactly that move. Raises InputError where the visit is not there any more, or where it was nowhere."""
    if moved.before is None:
        raise InputError([Fault("undo", "the visit had no place before", "take it out on the Day page")])
    with store.reading() as session:
        present = present_day(session, the_clinic(session), moved.after.date)
    there = {one.id: one for one in present.plan.visits}
    if any(there.get(id) != one for id, one in moved.after.placed.items()):
        what = "the visit was changed since, or was put back already"
        raise InputError([Fault("undo", what, "look at the day, and move it there")])

    def always_then() -> datetime.datetime:
        # Where the visit was may be earlier today, or yesterday's where midnight has passed.
        return datetime.datetime.combine(min(moved.before_date, moved.after.date), datetime.time())

    return move(
        store,
        moved.after.date,
        moved.code,
        moved.before_date,
        moved.before,
        read=present.version,
        actor=actor,
        clock=always_then,
        called=moved.before.id,
    )
