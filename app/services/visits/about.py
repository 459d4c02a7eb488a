"""Everything that is said of one visit: what, whose, when, where, what became of it, what its patient was told."""

import datetime
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from sqlmodel import Session

from app.db.store import Store
from app.models import Clinic
from app.queries.clinics import the_clinic
from app.queries.visit_life import KnownVisit, known_visit, row_ids, saved_at
from app.services.days import KeptDay, kept
from app.services.visits.steps import NEXT
from app.services.visits.taken_out import TakenOut, taken_out
from solver.clock import Interval, clock
from solver.problem import Day
from solver.schedule import PlacedVisit
from solver.visits import Visit


@dataclass(frozen=True, slots=True)
class Step:
    """``at``: by the clinic's clock. ``status``: what the visit was from then on; ``undone``: it took back a step."""

    at: datetime.datetime
    status: str
    reason: str
    actor: str
    undone: bool


@dataclass(frozen=True, slots=True)
class Held:
    """Where a visit is, or was before it left its day: ``when`` from its first start to its last end."""

    when: Interval
    where: str
    therapist: str


@dataclass(frozen=True, slots=True)
class AboutVisit:
    """``held`` None: the plan leaves it out, or there is none. ``told``: what the patient was told, in words, or empty.

    ``is_there``: it is on its day; ``moved_to``: where it is on another, its id there and the date. ``next``: which
    steps may follow. ``may_take_back``: there is a step that stands.
    ``zone`` and ``saved_at``: of the day, and when what is said here was last changed. ``uid``: what calendars call it,
    on whatever day it is; ``edition``: goes up with each of its changes.
    """

    id: int
    code: str
    patient_id: int
    patient: str
    treatment: str
    clinic: str
    what_to_bring: str
    date: datetime.date
    zone: ZoneInfo
    version: int
    status: str
    is_there: bool
    moved_to: tuple[int, datetime.date] | None
    held: Held | None
    told: str
    told_is_so: bool
    history: tuple[Step, ...]
    next: frozenset[str]
    may_take_back: bool
    saved_at: datetime.datetime
    uid: str
    edition: int

    @property
    def frees(self) -> bool:
        """Its minutes can be somebody else's."""
        return not self.is_there and self.held is not None


def about_visit(store: Store, visit_id: int) -> AboutVisit | None:
    """None where there is no such visit."""
    with store.reading() as session:
        clinic = the_clinic(session)
        known = known_visit(session, clinic.id or 0, visit_id)
        return None if known is None else about(session, clinic, known, kept(session, known.day))


def visit_ids(store: Store, date: datetime.date) -> dict[str, int]:
    """The ids of the date's visits by their codes."""
    with store.reading() as session:
        return dict(row_ids(session, the_clinic(session).id or 0, date))


def about(session: Session, clinic: Clinic, known: KnownVisit, present: KeptDay) -> AboutVisit:
    code, is_there, zone = known.row.code, not known.row.is_removed, ZoneInfo(known.day.time_zone)
    held, told, before = None, None, taken_out(known)
    if is_there:
        held, told = _held_now(present, code), present.day.published_by_id.get(code)
    elif before is not None:
        # Who was told of a visit that left its day may have to be told that it did.
        held, told = _held_before(present, before), before.told
    changed = [step.at for step in known.history] + [saved_at(session, known.day.id or 0)]
    return AboutVisit(
        id=known.id,
        code=code,
        patient_id=known.patient.id or 0,
        patient=known.patient.name or known.patient.code,
        treatment=known.treatment,
        clinic=clinic.name,
        what_to_bring=clinic.what_to_bring,
        date=known.day.date,
        zone=zone,
        version=known.day.version,
        status=known.status,
        is_there=is_there,
        moved_to=None if is_there else known.stands_at,
        held=held,
        told="" if told is None else told_words(present.day, told),
        told_is_so=is_there and told is not None and present.placed(code) == told,
        history=tuple(
            Step(step.at.astimezone(zone), step.status, step.reason, step.actor, step.undoes_id is not None)
            for step in known.history
        ),
        next=NEXT.get(known.status, frozenset()) if is_there else frozenset(),
        may_take_back=bool(known.steps),
        saved_at=max((at for at in changed if at is not None), default=datetime.datetime.now(datetime.UTC)),
        uid=uid_of(known.first_id, clinic.calendar_key),
        edition=known.edition,
    )


def uid_of(first_id: int, calendar_key: str) -> str:
    """What calendars call the visit whose life began with the row (RFC 5545, 3.8.4.7)."""
    return f"visit-{first_id}@{calendar_key}"


def told_words(day: Day, told: PlacedVisit) -> str:
    """``10:00 on Rowan in F1 with Tess Ray``; what is not there any more goes by its code."""
    first = told.parts[0]
    unit = day.unit_by_id[first.unit].name if first.unit in day.unit_by_id else first.unit
    who = "" if told.therapist is None else f" with {_name(day, told.therapist)}"
    return f"{clock(first.start)} on {unit} in {first.bay}{who}"


def _held_now(present: KeptDay, code: str) -> Held | None:
    placed = present.placed(code)
    return None if placed is None else _held(present.day, present.day.visit_by_id[code], placed)


def _held_before(present: KeptDay, before: TakenOut) -> Held | None:
    return None if before.placed is None else _held(present.day, before.visit, before.placed)


def _held(day: Day, visit: Visit, placed: PlacedVisit) -> Held:
    first, last = placed.parts[0], placed.parts[-1]
    unit = day.unit_by_id[first.unit].name if first.unit in day.unit_by_id else first.unit
    place = day.place_by_id[first.place].name if first.place in day.place_by_id else first.place
    who = "" if placed.therapist is None else _name(day, placed.therapist)
    return Held(Interval(first.start, last.start + visit.parts[-1].minutes), f"{unit}, {place}, bay {first.bay}", who)


def _name(day: Day, code: str) -> str:
    return day.staff_by_id[code].name if code in day.staff_by_id else code
