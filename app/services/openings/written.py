"""Placements as a form carries them from the page that shows them to the press that books them: ids only, no names."""

import json
from collections.abc import Iterable

from solver.errors import Fault, InputError
from solver.reading.documents import placed_visit_document
from solver.reading.faults import Faults, RefusedError
from solver.reading.placed_reader import PLACED_VISIT
from solver.schedule import PlacedVisit

_LONGEST = 20_000


def written(placed: Iterable[PlacedVisit]) -> str:
    return json.dumps([placed_visit_document(one) for one in placed], separators=(",", ":"))


def read_back(text: str) -> list[PlacedVisit]:
    """Raises InputError where it is not what ``written`` makes. Whether it fits the day is for the verifier to say."""
    faults = Faults()
    try:
        values = json.loads(text) if len(text) <= _LONGEST else None
        if not isinstance(values, list):
            raise ValueError
        found = [PLACED_VISIT.read(faults, f"placed[{i}]", value) for i, value in enumerate(values)]
    except (ValueError, RecursionError, RefusedError):
        raise InputError([Fault("placed", "this is no placement", "choose a start of the list")]) from None
    faults.refuse_if_any()
    return found
