"""What is said about adding a visit to a plan, as JSON-ready objects."""

from collections.abc import Iterable

from solver.clock import DAY_MIN, clock
from solver.offering.obstacle import Obstacle
from solver.reading.documents import Document, placed_visit_document
from solver.schedule import PlacedVisit
from solver.whynot import WhyNot


def offers_document(offers: Iterable[PlacedVisit]) -> Document:
    """The offers as an offers file's content."""
    return {"offers": [placed_visit_document(placed) for placed in offers]}


def whynot_document(answer: WhyNot) -> Document:
    """The answer as the content of a file."""
    return {
        "fits": answer.fits,
        "reasons": [_obstacle(each) for each in answer.reasons],
        "nearest": [placed_visit_document(placed) for placed in answer.nearest],
    }


def _obstacle(each: Obstacle) -> Document:
    return {
        "rule": each.rule,
        "resource": each.resource,
        "from": clock(max(each.start, 0)),
        "to": clock(min(each.end, DAY_MIN)),
        "held_by": list(each.held_by),
        "text": each.text,
    }
