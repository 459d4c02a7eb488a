"""What is kept of a visit with the step that took it off its day, so that it can be told of and put back."""

from dataclasses import dataclass
from typing import Any

from app.queries.visit_life import KnownVisit
from app.services.days import KeptDay
from solver.jsonio import day_document
from solver.reading.documents import placed_visit_document
from solver.reading.faults import Faults
from solver.reading.placed_reader import PLACED_VISIT
from solver.reading.visit_reader import VISIT
from solver.schedule import PlacedVisit
from solver.visits import Visit

Document = dict[str, Any]


@dataclass(frozen=True, slots=True)
class TakenOut:
    """``placed`` None: no plan had a place for it. ``told`` None: its patient was told of none."""

    visit: Visit
    placed: PlacedVisit | None
    told: PlacedVisit | None


def taken_out(known: KnownVisit) -> TakenOut | None:
    """The visit as it was before the last step took it off its day; None where that did not."""
    document = known.steps[-1].taken_out if known.steps else None
    if document is None:
        return None
    faults = Faults()
    visit = VISIT.read(faults, "visit", document["visit"])
    placed = PLACED_VISIT.read(faults, "placed", document["placed"]) if document["placed"] else None
    told = PLACED_VISIT.read(faults, "told", document["told"]) if document["told"] else None
    faults.refuse_if_any()
    return TakenOut(visit, placed, told)


def to_take_out(present: KeptDay, code: str) -> Document:
    """What ``taken_out`` reads, of a visit that is on its day."""
    visit = next(one for one in day_document(present.day)["visits"] if one["id"] == code)
    placed, told = present.placed(code), present.day.published_by_id.get(code)
    return {
        "visit": visit,
        "placed": None if placed is None else placed_visit_document(placed),
        "told": None if told is None else placed_visit_document(told),
    }
