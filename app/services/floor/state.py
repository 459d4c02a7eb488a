"""What the events of a day come to: how far each visit is, what is set aside, which unit is out, who is away.

A fold without a clock or a database: the same events make the same state, after a restart too.
"""

import datetime
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Literal

from app.services.floor.events import Event, standing

Moment = datetime.datetime
HowOver = Literal["ended", "stopped"]


@dataclass(slots=True)
class Pause:
    """``until`` None: it goes on."""

    since: Moment
    until: Moment | None = None


@dataclass(slots=True)
class PhaseRun:
    """A phase that was begun. ``ended`` None: it goes on."""

    began: Moment
    ended: Moment | None = None
    pauses: list[Pause] = field(default_factory=list)

    def seconds(self, now: Moment) -> float:
        """How long it has run, without its pauses."""
        last = self.ended or now
        paused = sum(((one.until or last) - one.since).total_seconds() for one in self.pauses)
        return max(0.0, (last - self.began).total_seconds() - paused)

    def lasted(self, now: Moment) -> float:
        """Seconds from its begin to its end, pauses among them."""
        return max(0.0, ((self.ended or now) - self.began).total_seconds())


@dataclass(frozen=True, slots=True)
class Said:
    """Something that was noted while a part ran, or before and after. ``kind``: set, comfort or skin."""

    kind: str
    when: str
    text: str
    at: Moment
    actor: str


@dataclass(slots=True)
class PartRun:
    """A part that was started. ``over`` None: it runs. ``hands``: by phase, who took it over."""

    started: Moment
    actor: str
    phases: list[PhaseRun]
    over: Moment | None = None
    how: HowOver | None = None
    reason: str = ""

    @property
    def phase(self) -> int:
        """The number of the phase it is in, or was in at its end."""
        return len(self.phases) - 1

    @property
    def paused(self) -> bool:
        pauses = self.phases[-1].pauses
        return self.over is None and bool(pauses) and pauses[-1].until is None


@dataclass(frozen=True, slots=True)
class Decision:
    """What a clinician decided before a start. ``go`` False: not now."""

    go: bool
    by: str
    note: str
    answers: tuple[tuple[str, str], ...]
    at: Moment
    actor: str


@dataclass(slots=True)
class VisitRun:
    """How far a visit is. ``expected``: a patient who is late is expected at this minute of the day."""

    arrived: Moment | None = None
    expected: int | None = None
    missed: bool = False
    decisions: list[Decision] = field(default_factory=list)
    parts: dict[int, PartRun] = field(default_factory=dict)
    said: dict[int, list[Said]] = field(default_factory=dict)
    hands: dict[tuple[int, int], str] = field(default_factory=dict)
    stopped: bool = False
    signed: tuple[str, Moment, str] | None = None

    @property
    def decision(self) -> Decision | None:
        return self.decisions[-1] if self.decisions else None

    @property
    def running(self) -> int | None:
        """The number of the part that runs."""
        return next((i for i, run in self.parts.items() if run.over is None), None)


@dataclass(frozen=True, slots=True)
class OutOfUse:
    """``since`` when; ``until``: a minute of the day, None: until further notice."""

    since: Moment
    reason: str
    until: int | None = None


@dataclass(slots=True)
class State:
    """``visits`` by code; ``aside`` and ``clean`` by item: since when. ``out`` by unit, ``away`` by staff member;
    ``empty`` by unit: when its battery was last said to be empty on the day."""

    visits: dict[str, VisitRun] = field(default_factory=dict)
    aside: dict[str, Moment] = field(default_factory=dict)
    clean: dict[str, Moment] = field(default_factory=dict)
    out: dict[str, OutOfUse] = field(default_factory=dict)
    away: dict[str, OutOfUse] = field(default_factory=dict)
    empty: dict[str, Moment] = field(default_factory=dict)

    def visit(self, code: str) -> VisitRun:
        """Of a visit that nothing happened to yet: an empty one, which is not kept."""
        return self.visits.get(code) or VisitRun()


def carried_over(events: Iterable[Event]) -> State:
    """What earlier days leave to a day: items that are still set aside, units that are out until further notice."""
    before = state_of(events)
    return State(aside=before.aside, out={unit: out for unit, out in before.out.items() if out.until is None})


def state_of(events: Iterable[Event], carried: State | None = None) -> State:
    """What all events that stand come to, in the order in which they were accepted. ``carried``: from earlier days."""
    state = State() if carried is None else State(aside=dict(carried.aside), out=dict(carried.out))
    for event in standing(events):
        if event.visit is not None:
            _of_visit(state.visits.setdefault(event.visit, VisitRun()), event)
        else:
            _of_thing(state, event)
    return state


def _of_visit(visit: VisitRun, event: Event) -> None:
    detail = event.detail
    match event.kind:
        case "arrived":
            visit.arrived, visit.expected = event.at, None
        case "expected":
            visit.expected = detail["minute"]
        case "missed":
            visit.missed = True
        case "decided":
            answers = tuple(detail["answers"].items())
            go = detail["decision"] == "go"
            visit.decisions.append(Decision(go, detail["by"], detail["note"], answers, event.at, event.actor))
        case "signed":
            visit.signed = (event.actor, event.at, detail["note"])
        case "taken_over":
            visit.hands[event.part or 0, detail["phase"]] = detail["staff"]
        case "set" | "comfort" | "skin":
            said = Said(event.kind, detail.get("when", ""), detail["said"], event.at, event.actor)
            visit.said.setdefault(event.part or 0, []).append(said)
        case "started":
            visit.parts[event.part or 0] = PartRun(event.at, event.actor, [PhaseRun(event.at)])
        case _:
            _of_part(visit, visit.parts[event.part or 0], event)


def _of_part(visit: VisitRun, part: PartRun, event: Event) -> None:
    phase = part.phases[-1]
    match event.kind:
        case "paused":
            phase.pauses.append(Pause(event.at))
        case "resumed":
            phase.pauses[-1].until = event.at
        case "phase":
            phase.ended = event.at
            part.phases.append(PhaseRun(event.at))
        case "ended" | "stopped":
            if part.paused:
                phase.pauses[-1].until = event.at
            phase.ended = part.over = event.at
            part.how = "stopped" if event.kind == "stopped" else "ended"
            part.reason = event.detail.get("reason", "")
            visit.stopped = visit.stopped or event.kind == "stopped"


def _of_thing(state: State, event: Event) -> None:
    detail = event.detail
    match event.kind:
        case "set_aside":
            state.aside[detail["item"]] = event.at
            state.clean.pop(detail["item"], None)
        case "clean":
            state.clean[detail["item"]] = event.at
            state.aside.pop(detail["item"], None)
        case "out_of_service":
            state.out[detail["unit"]] = OutOfUse(event.at, detail["reason"], detail.get("minute"))
        case "in_service":
            state.out.pop(detail["unit"], None)
        case "battery_empty":
            state.empty[detail["unit"]] = event.at
        case "away":
            state.away[detail["staff"]] = OutOfUse(event.at, detail["reason"], detail.get("minute"))
        case "back":
            state.away.pop(detail["staff"], None)
