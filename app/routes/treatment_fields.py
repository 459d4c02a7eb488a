"""A treatment's form as browsers send it: numbered parts and phases, to the document that is judged."""

import re
from typing import Any

from app.routes.forms import Fields
from app.services.setup.texts import listed
from app.views.treatments import MOST_PARTS, MOST_PHASES

_TEXTS = (
    *("id", "suction_kpa", "skill", "max_wait_min", "mode", "duty"),
    *("intensity_low", "intensity_high", "intensity_unit", "placement"),
)
_COUNT = re.compile(r"(.*\S)\s+([0-9]+)", re.DOTALL)


def sent_treatment(fields: Fields, extra_part: bool = False) -> dict[str, Any]:
    """The document. ``extra_part``: with one more, empty part."""
    count = next((i for i in range(MOST_PARTS) if f"parts[{i}].id" not in fields), MOST_PARTS)
    parts = [_part(fields, f"parts[{i}]") for i in range(count)]
    kept = [part for i, part in enumerate(parts) if fields["without_part"] != str(i)]
    if extra_part and len(kept) < MOST_PARTS:
        kept.append(empty_part())
    return {
        "name": fields["name"],
        "body_site": fields["body_site"],
        "same_unit": bool(fields["same_unit"]),
        "parts": kept,
    }


def empty_part() -> dict[str, Any]:
    """A part with nothing in it yet."""
    return {
        **dict.fromkeys(_TEXTS, ""),
        "channels": {},
        "applicators": {},
        "units": [],
        "phases": [],
        "preparation": [],
    }


def _part(fields: Fields, at: str) -> dict[str, Any]:
    phases = []
    for i in range(MOST_PHASES):
        minutes, hands = fields[f"{at}.phases[{i}].min"], fields[f"{at}.phases[{i}].hands"]
        if minutes or hands:
            running = bool(fields[f"{at}.phases[{i}].running"])
            phases.append({"min": minutes, "hands": hands, "running": running})
    return {
        **{key: fields[f"{at}.{key}"] for key in _TEXTS},
        "channels": _counts(fields[f"{at}.channels"]),
        "applicators": _counts(fields[f"{at}.applicators"]),
        "units": fields.all(f"{at}.units"),
        "phases": phases,
        "preparation": [line.strip() for line in fields[f"{at}.preparation"].splitlines() if line.strip()],
    }


def _counts(text: str) -> dict[str, str]:
    """``"ultrasound 1, pads 2"`` → ``{"ultrasound": "1", "pads": "2"}``; an entry without a number counts one."""
    found: dict[str, str] = {}
    for entry in listed(text):
        match = _COUNT.fullmatch(entry)
        name, count = (match[1], match[2]) if match else (entry, "1")
        found[name] = count
    return found
