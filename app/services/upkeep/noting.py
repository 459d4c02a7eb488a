"""Upkeep is noted, and taken back: each a new row with its audit, and nothing is overwritten."""

import datetime
from dataclasses import dataclass

from app.db.store import Store
from app.models import Upkeep
from app.models.columns import now
from app.models.upkeep import KINDS
from app.queries.audits import add_audit
from app.queries.clinics import the_clinic
from app.queries.upkeep import items_in_use, units_in_use
from app.services.treatments.form import read_text
from app.services.upkeep.records import Noted, Thing, noted_within
from app.typed import date_of
from solver.errors import Fault, InputError
from solver.reading.faults import Faults

EARLIEST = datetime.date(1990, 1, 1)
LATEST = datetime.date(2200, 1, 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class UpkeepForm:
    """As it is filled in. ``thing``: such as ``unit:U1`` or ``item:head-1``; dates as ``2031-03-10``."""

    thing: str = ""
    kind: str = ""
    done: str = ""
    due: str = ""
    note: str = ""


def note_upkeep(store: Store, form: UpkeepForm, *, actor: str, today: datetime.date) -> int:
    """The id of the new row. Raises InputError with every fault."""
    with store.writing() as session:
        clinic = the_clinic(session, to_write=True)
        clinic_id = clinic.id or 0
        faults = Faults()
        units, items = units_in_use(session, clinic_id), items_in_use(session, clinic_id)
        things = [Thing("unit", code) for code in units] + [Thing("item", code) for code in items]
        thing = next((one for one in things if form.thing == f"{one.of}:{one.code}"), None)
        if thing is None:
            faults.add("thing", "no unit or item is chosen", "choose one of the list")
        if form.kind not in KINDS:
            faults.add("kind", "it is not said what was done", f"choose {', '.join(KINDS[:-1])} or {KINDS[-1]}")
        done, due = _dates(faults, form, today)
        note = read_text(faults, "note", form.note)
        faults.refuse_if_any()
        assert done is not None
        assert thing is not None
        row = Upkeep(
            clinic_id=clinic_id,
            unit_id=units[thing.code][0] if thing.of == "unit" else None,
            item=thing.code if thing.of == "item" else "",
            kind=form.kind,
            done_on=done,
            due_on=due,
            note=note,
            at=now(),
            actor=actor,
        )
        if any(_same(one, thing, row) for one in noted_within(session, clinic_id)):
            raise InputError([Fault("done", "this is noted already", "see the record below")])
        session.add(row)
        session.flush()
        add_audit(session, clinic_id, actor, "noted upkeep of", f"{thing.of} {thing.code}", after=_said(row))
        return row.id or 0


def take_back_upkeep(store: Store, id: int, *, actor: str) -> None:
    """Raises InputError where there is no such row, or it was taken back before."""
    with store.writing() as session:
        clinic = the_clinic(session, to_write=True)
        clinic_id = clinic.id or 0
        found = next((one for one in noted_within(session, clinic_id) if one.id == id), None)
        row = session.get(Upkeep, id)
        if found is None or row is None or found.taken_back:
            raise InputError([Fault("record", "this is not in the record any more", "look at the record again")])
        same = {field: getattr(row, field) for field in ("clinic_id", "unit_id", "item", "kind", "done_on", "due_on")}
        session.add(Upkeep(**same, at=now(), actor=actor, undoes_id=id))
        add_audit(
            session, clinic_id, actor, "took back upkeep of", f"{found.thing.of} {found.thing.code}", before=_said(row)
        )


def _dates(faults: Faults, form: UpkeepForm, today: datetime.date) -> tuple[datetime.date | None, datetime.date | None]:
    right = "give one such as 2031-03-10"
    done, due = date_of(form.done), date_of(form.due)
    if done is None:
        faults.add("done", "that is no date", right)
    elif not EARLIEST <= done <= today:
        faults.add("done", f"{done} is to come, or too long ago", f"give a date from {EARLIEST} to today")
    if form.due and due is None:
        faults.add("due", "that is no date", f"{right}, or leave it empty")
    elif due is not None and done is not None and not done < due < LATEST:
        faults.add("due", f"{due} is not after {done}", "give a later date, or leave it empty")
    return done, due


def _same(one: Noted, thing: Thing, row: Upkeep) -> bool:
    said = (one.thing, one.kind, one.done_on, one.due_on, one.note)
    return not one.taken_back and said == (thing, row.kind, row.done_on, row.due_on, row.note)


def _said(row: Upkeep) -> dict[str, object]:
    """Without the note: it may say what no record of changes has to keep."""
    due = None if row.due_on is None else row.due_on.isoformat()
    return {"kind": row.kind, "done": row.done_on.isoformat(), "due": due}
