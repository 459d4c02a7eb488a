"""The end of a day: what was given against what was prescribed, and what stays open."""

import datetime
from dataclasses import dataclass
from typing import Literal

from app.db.store import Store
from app.queries.clinics import the_clinic
from app.queries.live_events import last_day_before
from app.services.floor.reading import Reading
from app.services.floor.room import FloorRoom
from app.services.floor.state import Decision, PartRun, Said

Moment = datetime.datetime
Outcome = Literal["given", "stopped", "missed", "running", "there", "to come", "no word"]


@dataclass(frozen=True, slots=True)
class PartGiven:
    """Minutes as prescribed and as they ran, without pauses, to a tenth; ``paused``: minutes of pauses."""

    number: int
    outputs: tuple[str, ...]
    prescribed: int
    ran: float
    paused: float
    run: PartRun | None
    said: tuple[Said, ...]


@dataclass(frozen=True, slots=True)
class VisitGiven:
    """``signed``: by whom, when, with which note. ``is_open``: it waits for a signature, or for a word."""

    code: str
    patient: str
    therapist: str
    outcome: Outcome
    decision: Decision | None
    parts: tuple[PartGiven, ...]
    signed: tuple[str, Moment, str] | None

    @property
    def may_be_signed(self) -> bool:
        return self.signed is None and self.outcome in ("given", "stopped")

    @property
    def is_open(self) -> bool:
        return self.may_be_signed or self.outcome in ("no word", "running", "there")


@dataclass(frozen=True, slots=True)
class Handover:
    """``aside``: items; ``out``: units, by code. ``visits``: by their planned starts."""

    visits: tuple[VisitGiven, ...]
    aside: tuple[str, ...]
    out: tuple[str, ...]

    @property
    def open_visits(self) -> tuple[VisitGiven, ...]:
        return tuple(visit for visit in self.visits if visit.is_open)


@dataclass(frozen=True, slots=True)
class LeftOpen:
    """What an earlier day left open: how many visits."""

    date: datetime.date
    visits: int


def handover(reading: Reading, now: Moment) -> Handover:
    """The day as it stands."""
    placed = sorted(reading.placed.values(), key=lambda one: (one.parts[0].start, one.id))
    return Handover(
        tuple(_visit(reading, one.id, now) for one in placed),
        tuple(sorted(reading.state.aside)),
        tuple(sorted(reading.state.out)),
    )


def left_open(store: Store, room: FloorRoom, date: datetime.date, now: Moment) -> LeftOpen | None:
    """What the last day before that anything was given on still waits for; None where it waits for nothing."""
    with store.reading() as session:
        before = last_day_before(session, the_clinic(session).id or 0, date)
    reading = None if before is None else room.read_once(before)
    if before is None or reading is None:
        return None
    count = len(handover(reading, now).open_visits)
    return LeftOpen(before, count) if count else None


def _visit(reading: Reading, code: str, now: Moment) -> VisitGiven:
    visit, run = reading.day.visit_by_id[code], reading.state.visit(code)
    therapist = reading.placed[code].therapist
    return VisitGiven(
        code=code,
        patient=visit.patient,
        therapist="" if therapist is None else reading.day.staff_by_id[therapist].name,
        outcome=_outcome(reading, code, now),
        decision=run.decision,
        parts=tuple(_part(reading, code, number, now) for number in range(len(visit.parts))),
        signed=run.signed,
    )


def _outcome(reading: Reading, code: str, now: Moment) -> Outcome:
    run = reading.state.visit(code)
    if run.stopped:
        return "stopped"
    if run.missed or reading.status.get(code) == "noshow":
        return "missed"
    if reading.is_over(code):
        return "given"
    if run.parts:
        return "running"
    if reading.is_there(code):
        return "there"
    return "no word" if reading.is_lapsed(code, now) else "to come"


def _part(reading: Reading, code: str, number: int, now: Moment) -> PartGiven:
    part, _ = reading.part(code, number)
    visit = reading.state.visit(code)
    run = visit.parts.get(number)
    phases = () if run is None else run.phases
    ran = sum(phase.seconds(now) for phase in phases)
    lasted = sum(phase.lasted(now) for phase in phases)
    return PartGiven(
        number=number,
        outputs=tuple(part.channels),
        prescribed=part.minutes,
        ran=round(ran / 60, 1),
        paused=round((lasted - ran) / 60, 1),
        run=run,
        said=tuple(visit.said.get(number, ())),
    )
