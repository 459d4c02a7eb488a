"""A treatment as a form has it, to values; every mistake in one pass.

A form is a document of texts: ``{"name", "body_site", "same_unit": bool, "parts": [{"id", "channels": {output: count},
"applicators": {code: count}, "suction_kpa", "skill", "phases": [{"min", "hands", "running": bool}], "units": [code],
"max_wait_min", "mode", "duty", "intensity_low", "intensity_high", "intensity_unit", "placement",
"preparation": [text]}]}``. Numbers may stand as texts; an empty text is nothing, and so is a key that is left out.
What a day file has of it is read by the reader of day files, so the same faults are found in the same words.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from solver.checks import listed, repeated
from solver.errors import Fault
from solver.reading.documents import part_document
from solver.reading.faults import Faults, RefusedError
from solver.reading.visit_reader import VISIT
from solver.visits import Part

Document = dict[str, Any]

LONGEST = 200
_NUMBER = re.compile(r"-?[0-9]{1,9}")
_LEVEL = re.compile(r"[0-9]{1,6}(?:[.,][0-9]{1,4})?")
_TEXTS = ("mode", "intensity_unit", "placement")
_SETTINGS = (*_TEXTS, "duty", "intensity_low", "intensity_high", "preparation")
_OPTIONAL = ("suction_kpa", "skill", "max_wait_min", "units")
_KEYS = ("name", "body_site", "same_unit", "parts")


@dataclass(frozen=True, slots=True)
class Prescribed:
    """A treatment as it was read. ``document``: what a day file has of it; ``settings``: the rest, for each part."""

    name: str
    body_site: str
    same_unit: bool
    parts: tuple[Part, ...]
    document: Document
    settings: tuple[Document, ...]


def read_form(form: Mapping[str, Any], units: frozenset[str], applicators: frozenset[str]) -> Prescribed:
    """The treatment of the form, for a clinic with these. Raises InputError with every fault."""
    faults = Faults()
    for key in form:
        if key not in _KEYS:
            faults.add(key, "a treatment has no such entry", f"give {', '.join(_KEYS)} only")
    name = read_text(faults, "name", form.get("name"), needed="a name, such as the therapist calls it")
    body_site = read_text(faults, "body_site", form.get("body_site"))
    parts = form.get("parts", [])
    given = parts if isinstance(parts, list) else []
    settings = tuple(_settings(faults, f"parts[{i}]", part) for i, part in enumerate(given) if isinstance(part, dict))
    scheduled = [_scheduled(part) if isinstance(part, dict) else part for part in given]
    visit = {
        "id": "treatment",
        "patient": "",
        "same_unit": form.get("same_unit", True),
        "parts": scheduled if isinstance(parts, list) else parts,
    }
    try:
        read = VISIT.read(faults, "", visit)
    except RefusedError:
        read = None
    if read is not None:
        for i, part in enumerate(read.parts):
            _check_named(faults, f"parts[{i}]", part, units, applicators)
    faults.refuse_if_any()
    assert read is not None
    return Prescribed(name, body_site, read.same_unit, read.parts, _as_in_a_file(read.same_unit, read.parts), settings)


def read_text(faults: Faults, where: str, value: object, needed: str = "") -> str:
    """A line of text without blanks around it. ``needed``: what to give where it may not be empty."""
    if value is not None and not isinstance(value, str):
        faults.add(where, "this is no text", "give a text")
        return ""
    text = " ".join((value or "").split())
    if len(text) > LONGEST:
        faults.add(where, f"the text has {len(text)} letters", f"give at most {LONGEST}")
    elif any("\ud800" <= char <= "\udfff" or not char.isprintable() for char in text):
        faults.add(where, "the text holds what cannot be shown", "give letters, digits and signs")
    elif needed and not text:
        faults.add(where, "nothing stands here", f"give {needed}")
    return text


def _scheduled(part: Document) -> Document:
    """The part as a day file has it: numbers as numbers, nothing for what is empty."""
    read: Document = {}
    for key, value in part.items():
        if key in _SETTINGS or (key in _OPTIONAL and value in ("", None, [])):
            continue
        if key in ("channels", "applicators") and isinstance(value, dict):
            read[key] = {name: as_number(count) for name, count in value.items() if count not in ("", None)}
        elif key == "phases" and isinstance(value, list):
            read[key] = [_phase(phase) for phase in value]
        else:
            read[key] = as_number(value) if key in ("suction_kpa", "max_wait_min") else value
    return read


def _phase(phase: object) -> object:
    return {**phase, "min": as_number(phase.get("min", ""))} if isinstance(phase, dict) else phase


def as_number(value: object) -> object:
    """The number of a text of digits; what is none stays as it is, for the reader to refuse."""
    text = value.strip() if isinstance(value, str) else ""
    return int(text) if _NUMBER.fullmatch(text) else value


def _settings(faults: Faults, where: str, part: Document) -> Document:
    settings: Document = {key: read_text(faults, f"{where}.{key}", part.get(key)) for key in _TEXTS}
    settings["duty"] = read_text(faults, f"{where}.duty", part.get("duty")) or None
    low, high = (_level(faults, f"{where}.{key}", part.get(key)) for key in ("intensity_low", "intensity_high"))
    if low is not None and high is not None and low > high:
        faults.add(f"{where}.intensity_high", f"{high:g} is below the lowest, {low:g}", "give the higher level here")
    if (low, high) != (None, None) and not settings["intensity_unit"]:
        faults.add(f"{where}.intensity_unit", "a level has no unit", "give its unit, such as W/cm² or mA")
    steps = part.get("preparation") or []
    if not isinstance(steps, list):
        faults.add(f"{where}.preparation", "this is no list", "give a list of steps, each a text")
        steps = []
    read = [read_text(faults, f"{where}.preparation[{i}]", step) for i, step in enumerate(steps)]
    preparation = [step for step in read if step]
    return {**settings, "intensity_low": low, "intensity_high": high, "preparation": preparation}


def _level(faults: Faults, where: str, value: object) -> float | None:
    if value in ("", None):
        return None
    text = f"{value:g}" if isinstance(value, int | float) and not isinstance(value, bool) else value
    if not isinstance(text, str) or not _LEVEL.fullmatch(text.strip()):
        faults.add(where, f"{str(value)[:40]!r} stands here", "give a number such as 0.5, or nothing")
        return None
    return float(text.strip().replace(",", "."))


def _check_named(faults: Faults, where: str, part: Part, units: frozenset[str], applicators: frozenset[str]) -> None:
    if not str(part.id).strip():
        faults.merge("", [Fault(f"{where}.id", "nothing stands here", "give the part a name")])
    wrong = [
        Fault(f"{where}.units[{i}]", f"there is no unit {unit!r}", _of(units))
        for i, unit in enumerate(part.units or ())
        if unit not in units
    ]
    wrong += [
        Fault(f"{where}.applicators.{pool}", f"there is no applicator {pool!r}", _of(applicators))
        for pool in part.applicators
        if pool not in applicators
    ]
    faults.merge("", [*wrong, *repeated(listed(f"{where}.units", part.units or ()))])


def _of(names: frozenset[str]) -> str:
    return f"give one of {', '.join(sorted(names)[:10])}" if names else "set one up first"


def _as_in_a_file(same_unit: bool, parts: tuple[Part, ...]) -> Document:
    """The parts as a day file is written, so that the digest is the one a day file's visit has."""
    return {"same_unit": same_unit, "parts": [part_document(part) for part in parts]}
