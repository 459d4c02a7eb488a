"""Invented starting points for a treatment. They are forms to be gone through: minutes and levels are left empty.

So a form that was made of one is refused until the clinician has put in every minute. See ``form.py`` for the shape.
"""

from collections.abc import Mapping, Sequence
from copy import deepcopy
from typing import Any

LABEL = "Invented, as a start only: every minute and level is for the clinician to set."

_Phases = Sequence[tuple[str, bool]]
_HELD: _Phases = (("therapist", True),)
_WATCHED: _Phases = (("therapist", False), ("nobody", True), ("anyone", False))


def _part(id: str, channels: Mapping[str, str], phases: _Phases, preparation: Sequence[str]) -> dict[str, Any]:
    empty = ("suction_kpa", "skill", "max_wait_min", "mode", "duty", "intensity_low", "intensity_high")
    return {
        **dict.fromkeys((*empty, "intensity_unit", "placement"), ""),
        "id": id,
        "channels": dict(channels),
        "applicators": {},
        "units": [],
        "phases": [{"min": "", "hands": hands, "running": running} for hands, running in phases],
        "preparation": list(preparation),
    }


_ULTRASOUND = _part("ultrasound", {"ultrasound": "1"}, _HELD, ("skin clean and dry", "gel"))
_PADS = _part("pads", {"pads": "1"}, _WATCHED, ("skin clean and dry", "moistened sponges"))
_TWO_CIRCUITS = _part("pads", {"pads": "2"}, _WATCHED, ("skin clean and dry", "moistened sponges"))
_CUPS = _part("cups", {"cups": "2"}, _WATCHED, ("skin clean and dry", "moistened sponges in the cups"))
_COMBINED = _part("combined", {"ultrasound": "1", "pads": "1"}, _HELD, ("skin clean and dry", "gel"))
_NAMED = (
    ("Ultrasound by hand (invented)", (_ULTRASOUND,)),
    ("Pads on one circuit (invented)", (_PADS,)),
    ("Pads on two circuits (invented)", (_TWO_CIRCUITS,)),
    ("Cups on two circuits (invented)", (_CUPS,)),
    ("Ultrasound and one pad together (invented)", (_COMBINED,)),
    ("Ultrasound, then pads (invented)", (_ULTRASOUND, _PADS)),
)


def starting_points() -> list[dict[str, Any]]:
    """Forms to begin with, each a copy of its own."""
    return [
        {"name": name, "body_site": "", "same_unit": True, "parts": deepcopy(list(parts))} for name, parts in _NAMED
    ]
