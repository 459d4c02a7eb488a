"""The record of upkeep: what was done to each unit and item, and what is due again on a date."""

import datetime
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from sqlmodel import Session

from app.db.store import Store
from app.models.upkeep import KINDS
from app.queries.clinics import the_clinic
from app.queries.upkeep import items_in_use, units_in_use, upkeep_rows

Of = Literal["unit", "item"]
UPKEEP_KINDS: tuple[str, ...] = KINDS


@dataclass(frozen=True, slots=True, order=True)
class Thing:
    """A unit or an item, by its code."""

    of: Of
    code: str


@dataclass(frozen=True, slots=True)
class Noted:
    """One thing that was done. ``due_on`` None: no date was given. ``taken_back``: it counts no more."""

    id: int
    thing: Thing
    kind: str
    done_on: datetime.date
    due_on: datetime.date | None
    note: str
    at: datetime.datetime
    actor: str
    taken_back: bool


@dataclass(frozen=True, slots=True)
class Due:
    """What is to be done again by ``due_on``, seen on a date that is not before it."""

    thing: Thing
    name: str
    kind: str
    due_on: datetime.date
    overdue: bool


def noted_within(session: Session, clinic_id: int) -> tuple[Noted, ...]:
    """All that was ever noted, oldest first, also what was taken back."""
    rows = upkeep_rows(session, clinic_id)
    void = {row.undoes_id for row, _ in rows}
    return tuple(
        Noted(
            id=row.id or 0,
            thing=Thing("item", row.item) if unit is None else Thing("unit", unit),
            kind=row.kind,
            done_on=row.done_on,
            due_on=row.due_on,
            note=row.note,
            at=row.at,
            actor=row.actor,
            taken_back=row.id in void,
        )
        for row, unit in rows
        if row.undoes_id is None
    )


def last_done(noted: Iterable[Noted], thing: Thing, kind: str, on: datetime.date) -> Noted | None:
    """What stands of the kind and was done last by that date; of several on one date, what was noted last."""
    found = (one for one in noted if (one.thing, one.kind) == (thing, kind) and not one.taken_back)
    return max((one for one in found if one.done_on <= on), key=lambda one: (one.done_on, one.id), default=None)


def due_on(store: Store, date: datetime.date) -> tuple[Due, ...]:
    """What is due or overdue on the date, of units and items in use, by what is noted now and was done by then."""
    with store.reading() as session:
        clinic_id = the_clinic(session).id or 0
        noted = noted_within(session, clinic_id)
        return due_within(noted, things_within(session, clinic_id), date) if noted else ()


def things_within(session: Session, clinic_id: int) -> dict[Thing, str]:
    """What there is to keep right, units first, with what each is called."""
    names = {Thing("unit", code): name for code, (_, name) in units_in_use(session, clinic_id).items()}
    items = items_in_use(session, clinic_id)
    return names | {Thing("item", code): f"{pool}, {code}" for code, pool in items.items()}


def due_within(noted: Sequence[Noted], names: Mapping[Thing, str], date: datetime.date) -> tuple[Due, ...]:
    """What is due or overdue on the date, of these things."""
    return tuple(
        Due(thing, name, kind, last.due_on, overdue=last.due_on < date)
        for thing, name in names.items()
        for kind in UPKEEP_KINDS
        if (last := last_done(noted, thing, kind, date)) is not None and last.due_on is not None and last.due_on <= date
    )
