"""The end of a day: what was given against what was prescribed, and what stays open."""

import datetime
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from app.db.store import Store
from app.queries.clinics import the_clinic
from app.queries.live_events import days_run, newest_of_all
from app.services.floor.reading import Reading
from app.services.floor.room import FloorRoom
from app.services.floor.state import Decision, PartRun, Said

Moment = datetime.datetime
LOOK_BACK = datetime.timedelta(days=7)
"""So long a visit without a signature, or without a word, comes up on the days after its own."""
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
        begun = any(part.run is not None for part in self.parts)
        return begun and self.signed is None and self.outcome in ("given", "stopped")

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


def left_open(store: Store, room: FloorRoom, date: datetime.date, now: Moment) -> tuple[LeftOpen, ...]:
    """What earlier days that were run on the Floor still wait for, the newest day first.

    The days are read once a minute, and where anything was pressed or became of a visit since.
    """
    with store.reading() as session:
        newest = newest_of_all(session)
    return _left_open(store, room, date, now.replace(second=0, microsecond=0), newest)


@lru_cache(maxsize=8)
def _left_open(
    store: Store, room: FloorRoom, date: datetime.date, minute: Moment, _newest: tuple[int, int]
) -> tuple[LeftOpen, ...]:
    since = date - min(LOOK_BACK, date - datetime.date.min)
    with store.reading() as session:
        earlier = days_run(session, the_clinic(session).id or 0, since, date)
    counted = ((day, room.read_once(day)) for day in earlier)
    open_days = ((day, len(handover(read, minute).open_visits)) for day, read in counted if read is not None)
    return tuple(LeftOpen(day, count) for day, count in open_days if count)


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
