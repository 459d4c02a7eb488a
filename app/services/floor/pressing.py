"""A press on the Floor: checked against what happened so far, and added to it, or refused with nothing changed."""

import datetime
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from sqlmodel import Session

from app.db.store import Store
from app.models import Clinic, ClinicDay, LiveEvent
from app.models.columns import now
from app.queries.clinics import the_clinic
from app.queries.days import day_row
from app.queries.live_events import event_with_key
from app.queries.visit_life import KnownVisit, account_named_so, known_visit
from app.services.floor.details import Document, read_detail
from app.services.floor.events import Event, may_be_undone, standing
from app.services.floor.may import OF_PARTS, OF_THINGS, OF_VISITS, fault_of_part, fault_of_undo, fault_of_visit
from app.services.floor.reading import Reading
from app.services.floor.room import FloorRoom
from app.services.visits.life import step_within, take_back_within
from solver.errors import Fault, InputError

LONGEST_AGO_S = 12 * 3600
"""A press that waited longer for the connection counts as made so long ago."""
UNDO = "undone"
_KEY = re.compile(r"[0-9a-f-]{16,64}")
_STATUS = {"arrived": "arrived", "missed": "noshow"}
"""Presses that make a step of the visit's life too."""

Moment = datetime.datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Press:
    """``key``: made where it is pressed, the same however often it is sent. ``ago``: seconds since it was pressed.

    ``visit``: the id of its row, ``part``: its number from 0; ``undoes``: the id of an event. ``texts``: as typed.
    """

    key: str
    kind: str
    visit: int | None = None
    part: int | None = None
    undoes: int | None = None
    ago: float = 0.0
    texts: Mapping[str, str]


def press(
    store: Store,
    room: FloorRoom,
    date: datetime.date,
    made: Press,
    *,
    actor: str,
    clock: Callable[[], Moment] = now,
) -> int:
    """Add the event; its id, which is that of the first time where it was sent before.

    Raises InputError with what stands in the way, at the field it belongs to.
    """
    if not _KEY.fullmatch(made.key):
        raise InputError([Fault("key", "this is no key of a press", "load the page again")])
    with store.writing() as session:
        clinic = the_clinic(session, to_write=True)
        row = day_row(session, clinic.id or 0, date)
        before = event_with_key(session, made.key)
        if before is not None:
            return before.id or 0
        reading = room.read(date)
        if row is None or reading is None:
            raise InputError([Fault("date", f"no plan of {date} is kept", "plan the day first")])
        return _Pressing(session, clinic, row, reading, actor, clock()).add(made)


@dataclass(frozen=True, slots=True)
class _Pressing:
    """One press within its transaction: nobody else can add to the day meanwhile."""

    session: Session
    clinic: Clinic
    row: ClinicDay
    reading: Reading
    actor: str
    received: Moment

    def add(self, made: Press) -> int:
        if made.kind == UNDO:
            return self._undo(made)
        if made.kind in OF_THINGS:
            detail = read_detail(made.kind, made.texts, self.reading.day)
            at = self._at(made, Event(0, made.kind, None, None, self.received, "", detail).about)
            return self._write(made, None, None, at, detail)
        if made.kind not in OF_VISITS | OF_PARTS:
            raise InputError([Fault("kind", f"{made.kind[:40]!r} is nothing to press", "load the page again")])
        known = self._known(made.visit)
        code = known.row.code
        at = self._at(made, f"visit {code}")
        detail = read_detail(made.kind, made.texts, self.reading.day)
        part = None if made.kind in OF_VISITS else made.part or 0
        if part is None:
            fault = fault_of_visit(self.reading, made.kind, code)
        else:
            fault = fault_of_part(self.reading, made.kind, code, part, detail, at)
        if fault is not None:
            raise InputError([fault])
        status = self._status(made.kind, code, part)
        if status and status != known.status:
            if status == "fulfilled" and known.status == "booked":  # the desk took the arrival back meanwhile
                step_within(self.session, self.clinic, known, "arrived", actor=self.actor, at=at)
                known = self._known(made.visit)
            step_within(self.session, self.clinic, known, status, actor=self.actor, at=at)
            detail = {**detail, "status": status}
        return self._write(made, known.id, part, at, detail)

    def _status(self, kind: str, code: str, part: int | None) -> str:
        """What the visit becomes by the press; empty where it stays what it is."""
        last = part is not None and part == len(self.reading.day.visit_by_id[code].parts) - 1
        if kind == "stopped" or (kind == "ended" and last):
            return "fulfilled"
        return _STATUS.get(kind, "")

    def _undo(self, made: Press) -> int:
        event = next((one for one in self.reading.events if one.id == made.undoes), None)
        if event is None or not may_be_undone(self.reading.events, event.id):
            right = "take back what came after it first"
            raise InputError([Fault("undoes", "it was taken back already, or is not the last", right)])
        fault = fault_of_undo(self.reading, event)
        if fault is not None:
            raise InputError([fault])
        visit = self.session.get(LiveEvent, event.id)
        assert visit is not None
        if "status" in event.detail:
            known = known_visit(self.session, self.clinic.id or 0, visit.visit_id or 0)
            if known is not None and known.status == event.detail["status"]:
                take_back_within(self.session, self.clinic, known, actor=self.actor, at=self.received)
        return self._write(made, visit.visit_id, event.part, self._at(made, event.about), {}, event.id)

    def _known(self, visit: int | None) -> KnownVisit:
        known = known_visit(self.session, self.clinic.id or 0, visit or 0)
        if known is None or known.day.id != self.row.id or known.row.code not in self.reading.row_ids:
            raise InputError([Fault("visit", "it is not on this day any more", "look for it on the Day page")])
        return known

    def _at(self, made: Press, about: str) -> Moment:
        """When it was pressed: not before what came last of the same thing, and not after now."""
        ago = datetime.timedelta(seconds=min(max(made.ago, 0.0), LONGEST_AGO_S))
        last = max((event.at for event in standing(self.reading.events) if event.about == about), default=None)
        at = self.received - ago
        return min(self.received, at if last is None else max(at, last))

    def _write(
        self, made: Press, visit: int | None, part: int | None, at: Moment, detail: Document, undoes: int | None = None
    ) -> int:
        event = LiveEvent(
            day_id=self.row.id or 0,
            key=made.key,
            visit_id=visit,
            part=part,
            kind=made.kind,
            at=at,
            received_at=self.received,
            account_id=account_named_so(self.session, self.clinic.id or 0, self.actor),
            actor=self.actor,
            undoes_id=undoes,
            detail=detail,
        )
        self.session.add(event)
        self.session.flush()
        return event.id or 0
