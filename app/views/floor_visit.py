"""What the page of a visit on the Floor reads."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from app.views.cautions import Questions
from app.views.floor import Button, Countdown, PressLine
from app.views.floor_words import phase_words
from app.views.words import counted, listed
from solver.visits import Part

Document = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Note:
    when: str
    text: str
    actor: str


@dataclass(frozen=True, slots=True)
class HandsOf:
    """A phase that is still to come or runs, and whose hands it has."""

    phase: int
    words: str
    staff: str


@dataclass(frozen=True, slots=True)
class PartView:
    """``lines``: as prescribed, label and value. ``state``: coming, running, paused, over or stopped."""

    number: int
    title: str
    lines: tuple[tuple[str, str], ...]
    phases: tuple[str, ...]
    state: str
    says: str
    countdown: Countdown | None
    notes: tuple[Note, ...]
    hands: tuple[HandsOf, ...]


@dataclass(frozen=True, slots=True)
class DecisionView:
    go: bool
    text: str
    answers: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class FloorVisitView:
    """``screening``: what was answered at booking, in words. ``is_open``: something is still to come of the visit."""

    id: int
    address: str
    floor: str
    patient: str
    initials: str
    treatment: str
    prescribed: str
    screening: str
    is_there: bool
    is_open: bool
    parts: tuple[PartView, ...]
    decision: DecisionView | None
    questions: tuple[Questions, ...]
    buttons: tuple[Button, ...]
    presses: tuple[PressLine, ...]
    staff: tuple[tuple[str, str], ...]
    now: int
    may_press: bool


SCREENING_WORDS = {
    "": "not asked when it was booked",
    "not_seen": "when it was booked the clinician had not seen the patient yet",
    "decided": "when it was booked the clinician’s decision was given: as prescribed",
}


def prescribed_lines(document: Document) -> Iterator[tuple[str, str]]:
    """What of a part was prescribed, label and value; what is empty is not said."""
    yield "Outputs", listed(f"{count} × {output}" for output, count in document["channels"].items())
    if document.get("applicators"):
        yield "Applicators", listed(f"{count} × {pool}" for pool, count in document["applicators"].items())
    if document.get("suction_kpa") is not None:
        yield "Suction", f"{document['suction_kpa']} kPa"
    for key, label in (("mode", "Mode"), ("duty", "Duty")):
        if document.get(key):
            yield label, document[key]
    between = [
        f"{word} {document[key]:g}"
        for word, key in (("from", "intensity_low"), ("to", "intensity_high"))
        if document.get(key) is not None
    ]
    if between:
        yield "Intensity", " ".join([*between, document.get("intensity_unit") or ""]).strip()
    if document.get("placement"):
        yield "Site and placement", document["placement"]
    if document.get("preparation"):
        yield "Preparation", "; ".join(document["preparation"])


def phase_lines(part: Part) -> tuple[str, ...]:
    """``5 minutes: hands on``."""
    return tuple(f"{counted(phase.minutes, 'minute')}: {phase_words(phase)}" for phase in part.phases)
