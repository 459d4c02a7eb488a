"""What the handover page reads."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class PartLine:
    """``given``: what became of the part, in words; ``notes``: what was set, said and seen, a line each."""

    what: str
    prescribed: str
    ran: str
    given: str
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class VisitLine:
    """``signed``: by whom and when, or empty. ``may_sign``: it waits for a signature."""

    address: str
    id: int
    name: str
    therapist: str
    outcome: str
    decision: str
    parts: tuple[PartLine, ...]
    signed: str
    may_sign: bool
    is_open: bool


OUTCOME_WORDS = {
    "given": "given",
    "stopped": "stopped",
    "missed": "did not come",
    "running": "still runs",
    "there": "there, not begun",
    "to come": "still to come",
    "no word": "nobody said what became of it",
}


def minutes(value: float) -> str:
    """``14.5`` → ``"14.5 min"``; ``15.0`` → ``"15 min"``."""
    return f"{value:g} min"
