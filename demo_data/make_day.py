"""Writes the demo day from the tables beside this file: ``python -m demo_data.make_day``.

Quillmere Physiotherapy, its units, its people, its patients and every figure are invented for this demo. The result,
``day.json``, is kept beside this file; change it there, or change the tables and run this again.
"""

import json
from pathlib import Path
from typing import Any

from demo_data.bookings import FIXED, TOLD, VISITS
from demo_data.clinic import APPLICATORS, CLOSE, OPEN, PLACES, STAFF, UNITS

DAY_FILE = Path(__file__).with_name("day.json")
LINE = 140
Row = dict[str, Any]


def the_day() -> Row:
    """The demo day as the content of a day file."""
    return {
        "format": "channelday-day/1",
        "date": "2031-03-04",
        "step_min": 5,
        "open": OPEN,
        "close": CLOSE,
        "move_min": 5,
        "bay_turnover_min": 5,
        "units": UNITS,
        "applicators": APPLICATORS,
        "places": PLACES,
        "staff": STAFF,
        "visits": [_with_fixed(visit) for visit in VISITS],
        "published": [_told(*row) for row in TOLD],
        "aims": ["placed", "stable", "wish", "therapist", "wait", "finish"],
    }


def _with_fixed(visit: Row) -> Row:
    fixed = FIXED.get(visit["id"])
    return visit if fixed is None else {**visit, "fixed": fixed}


def _told(id: str, therapist: str | None, where: list[tuple[str, str, str]]) -> Row:
    """A visit as it stood in yesterday's plan: the first channels and items that serve, an assistant's hands."""
    parts = next(visit for visit in VISITS if visit["id"] == id)["parts"]
    return {
        "id": id,
        "therapist": therapist,
        "parts": [_told_part(part, therapist, *place) for part, place in zip(parts, where, strict=True)],
    }


def _told_part(part: Row, therapist: str | None, start: str, unit: str, bay: str) -> Row:
    hands = {"therapist": therapist, "anyone": "ilse" if start < "14:00" else "kwabena", "nobody": None}
    return {
        "id": part["id"],
        "start": start,
        "unit": unit,
        "place": next(place["id"] for place in PLACES if bay in place["bays"]),
        "bay": bay,
        "channels": _first_channels(part["channels"], unit),
        "items": {id: _items(id)[:count] for id, count in part["applicators"].items()},
        "hands": [hands[phase["hands"]] for phase in part["phases"]],
    }


def _first_channels(needed: dict[str, int], unit: str) -> dict[str, list[str]]:
    free = list(next(row for row in UNITS if row["id"] == unit)["channels"])
    named: dict[str, list[str]] = {}
    for output, count in needed.items():
        able = [channel for channel in free if output in channel["drives"]][:count]
        free = [channel for channel in free if channel not in able]
        named[output] = [channel["id"] for channel in able]
    return named


def _items(applicator: str) -> list[str]:
    items: list[str] = next(row["items"] for row in APPLICATORS if row["id"] == applicator)
    return items


def as_text(value: object, indent: int = 0, before: int = 0) -> str:
    """JSON to be read and edited by people: what fits into a line stays on one.

    ``indent`` is the depth of the line the value begins on, ``before`` the characters of it that are taken.
    """
    line = json.dumps(value, ensure_ascii=False)
    if indent + before + len(line) <= LINE or not isinstance(value, dict | list):
        return line
    if isinstance(value, dict):
        entries = [(f"{json.dumps(key)}: ", entry) for key, entry in value.items()]
    else:
        entries = [("", entry) for entry in value]
    lines = [" " * (indent + 1) + key + as_text(entry, indent + 1, len(key)) for key, entry in entries]
    start, end = "{}" if isinstance(value, dict) else "[]"
    return "\n".join([start, ",\n".join(lines), " " * indent + end])


if __name__ == "__main__":
    DAY_FILE.write_text(as_text(the_day()) + "\n", encoding="utf-8")
