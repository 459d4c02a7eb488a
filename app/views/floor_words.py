"""The Floor's words: what a phase is, and what a press said."""

from collections.abc import Mapping
from typing import Any

from app.views.blocks import phase_kind
from app.views.words import listed
from solver.clock import clock
from solver.problem import Day
from solver.schedule import PlacedPart
from solver.visits import Part, Phase

PRESS_WORDS: Mapping[str, str] = {
    "arrived": "arrived",
    "expected": "is late",
    "missed": "did not come",
    "decided": "decision",
    "started": "started",
    "phase": "next phase",
    "set": "set",
    "comfort": "comfort",
    "skin": "skin",
    "paused": "paused",
    "resumed": "goes on",
    "ended": "ended",
    "stopped": "stopped",
    "taken_over": "taken over",
    "set_aside": "set aside for cleaning",
    "clean": "clean again",
    "out_of_service": "out of service",
    "in_service": "in service again",
    "battery_empty": "battery empty",
    "away": "called away",
    "back": "back",
    "undone": "taken back",
    "signed": "signed",
}

PHASES: Mapping[str, str] = {
    "hands-on": "hands on",
    "unattended": "unattended, watched",
    "still": "set-up, take-down",
    "rest": "rests",
}
"""By the kinds of phases that the Day page draws."""


def phase_words(phase: Phase) -> str:
    """What is done in it, shorter than in the legend of the Day page."""
    return PHASES[phase_kind(phase)]


def part_words(part: Part, placed: PlacedPart) -> str:
    """``pads on s1 and s2, 60 kPa``."""
    outputs = listed(f"{output} on {listed(names)}" for output, names in placed.channels.items())
    return outputs if part.suction_kpa is None else f"{outputs}, {part.suction_kpa} kPa"


def press_words(day: Day, kind: str, part: int | None, detail: Mapping[str, Any], patient: str) -> str:
    """``Ann Early, part 1: started``."""
    about = patient
    if "item" in detail:
        about = detail["item"]
    elif "unit" in detail:
        about = day.unit_by_id[detail["unit"]].name if detail["unit"] in day.unit_by_id else detail["unit"]
    elif "staff" in detail and not patient:
        about = _member(day, detail["staff"])
    where = f", part {part + 1}" if part is not None else ""
    return f"{about}{where}: {PRESS_WORDS[kind]}{_more(day, kind, detail)}"


def said_words(kind: str, when: str, text: str) -> str:
    """``skin before: as ever``."""
    return f"{f'{kind} {when}'.strip()}: {text}"


def _more(day: Day, kind: str, detail: Mapping[str, Any]) -> str:
    if kind == "decided":
        note = f" ({detail['note']})" if detail["note"] else ""
        return f" of {detail['by']}: {'go ahead' if detail['decision'] == 'go' else 'not now'}{note}"
    if kind == "taken_over":
        return f" by {_member(day, detail['staff'])}"
    if kind == "expected":
        return f", expected at {clock(detail['minute'])}"
    said = [detail.get("when", ""), detail.get("said", ""), detail.get("reason", "")]
    if kind in ("out_of_service", "away") and "minute" in detail:
        said.append(f"until {clock(detail['minute'])}")
    text = " ".join(word for word in said if word)
    return f": {text}" if text else ""


def _member(day: Day, id: str) -> str:
    return day.staff_by_id[id].name if id in day.staff_by_id else id


def short_time(minute: int, later: int) -> str:
    """``10:25, 15 min later``."""
    if later == 0:
        return clock(minute)
    return f"{clock(minute)}, {abs(later)} min {'later' if later > 0 else 'earlier'}"
