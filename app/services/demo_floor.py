"""What happened so far at the demo clinic: its plan, as if it had been kept to the minute until now. All invented."""

import datetime
import uuid
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any
from zoneinfo import ZoneInfo

from sqlmodel import Session

from app.clock import instant_of
from app.db.store import Store
from app.models import LiveEvent, VisitStatus
from app.queries.audits import add_audit
from app.queries.clinics import the_clinic
from app.queries.days import day_row
from app.queries.visit_life import row_ids
from app.services.days import kept
from solver.problem import Day
from solver.schedule import PlacedVisit

Moment = datetime.datetime
EARLY = datetime.timedelta(minutes=4)
"""How long before their time the demo's patients come."""


@dataclass(frozen=True, slots=True)
class Told:
    """Something that happened. ``status``: what the visit became by it, or empty."""

    at: Moment
    kind: str
    part: int | None
    actor: str
    detail: dict[str, Any]
    status: str = ""


def run_until(store: Store, date: datetime.date, now: Moment, *, actor: str) -> None:
    """Add the events of all visits that began by ``now``, but for the last of them, whose patient is late."""
    with store.writing() as session:
        clinic = the_clinic(session, to_write=True)
        row = day_row(session, clinic.id or 0, date)
        present = None if row is None else kept(session, row)
        if row is None or present is None or present.plan is None:
            return
        day, plan = present.day, present.plan
        ids, zone = row_ids(session, clinic.id or 0, date), ZoneInfo(row.time_zone)
        begun = [one for one in plan.visits if instant_of(date, one.parts[0].start, zone) <= now]
        begun.sort(key=lambda one: one.parts[0].start)
        happened = [(told, ids[one.id]) for one in begun[:-1] for told in happened_of(day, one, zone, now)]
        add_happened(session, row.id or 0, happened)
        add_audit(session, clinic.id or 0, actor, "made up what happened on", f"day {date}")


def add_happened(session: Session, day_id: int, happened: Iterable[tuple[Told, int]]) -> None:
    """Add what happened to visits of the day, each with its row's id, in order of time."""
    for told, visit in sorted(happened, key=lambda pair: (pair[0].at, pair[1])):
        detail = {**told.detail, **({"status": told.status} if told.status else {})}
        session.add(
            LiveEvent(
                day_id=day_id,
                key=str(uuid.uuid4()),
                visit_id=visit,
                part=told.part,
                kind=told.kind,
                at=told.at,
                received_at=told.at,
                actor=told.actor,
                detail=detail,
            )
        )
        if told.status:
            session.add(VisitStatus(visit_id=visit, status=told.status, at=told.at, actor=told.actor))
        session.flush()


def happened_of(day: Day, placed: PlacedVisit, zone: ZoneInfo, now: Moment) -> Iterator[Told]:
    """What happened of the visit by ``now``, in its order."""
    visit = day.visit_by_id[placed.id]
    name = who_treats(day, placed)
    begin = instant_of(day.date, placed.parts[0].start, zone)
    yield Told(begin - EARLY, "arrived", None, name, {}, "arrived")
    decided = {"decision": "go", "by": name, "note": "", "answers": {}}
    yield Told(begin - EARLY / 2, "decided", None, name, decided)
    for number, (part, where) in enumerate(zip(visit.parts, placed.parts, strict=True)):
        for phase, (_, (start, _)) in enumerate(part.phases_at(where.start)):
            at = instant_of(day.date, start, zone)
            if at > now:
                return
            detail = {"phase": phase} if phase else {}
            yield Told(at, "phase" if phase else "started", number, _by(day, where.hands[phase], name), detail)
        end = instant_of(day.date, where.start + part.minutes, zone)
        if end > now:
            return
        last = number == len(visit.parts) - 1
        by = _by(day, where.hands[-1], name)
        yield Told(end, "ended", number, by, {"reason": ""}, "fulfilled" if last else "")


def who_treats(day: Day, placed: PlacedVisit) -> str:
    """The name of the visit's therapist, else of the first whose hands it has."""
    therapist = placed.therapist or next((one for part in placed.parts for one in part.hands if one), day.staff[0].id)
    return day.staff_by_id[therapist].name


def _by(day: Day, hands: str | None, otherwise: str) -> str:
    return day.staff_by_id[hands].name if hands is not None else otherwise
