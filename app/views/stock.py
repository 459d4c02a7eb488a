"""Items and bays through the day: who holds each, and until when it is cleaned or made ready after that."""

from dataclasses import dataclass

from app.views.holds import Hold
from app.views.parts import Planned, part_key
from app.views.scale import Scale, Span
from app.views.words import short_name


@dataclass(frozen=True, slots=True)
class Held:
    """A hold as drawn: ``after`` is the cleaning or turnover behind it, of no minutes where there is none."""

    span: Span
    after: Span
    visit: str
    key: str
    short: str
    quiet: bool
    label: str


@dataclass(frozen=True, slots=True)
class StockRow:
    """An item or a bay. ``group``: its applicator or place."""

    id: str
    group: str
    holds: tuple[Held, ...]


def item_rows(planned: Planned, quiet: frozenset[str]) -> tuple[StockRow, ...]:
    holds = planned.item_holds
    return tuple(
        StockRow(item, pool.name, _held(planned, [h for h in holds if h.id == item], "cleaned until", quiet))
        for pool in planned.day.applicators
        for item in pool.items
    )


def bay_rows(planned: Planned, quiet: frozenset[str], place_id: str) -> tuple[StockRow, ...]:
    """The bays, of one place where ``place_id`` is not empty."""
    holds = planned.bay_holds
    return tuple(
        StockRow(bay, place.name, _held(planned, [h for h in holds if h.id == bay], "made ready until", quiet))
        for place in planned.day.places
        if place_id in ("", place.id)
        for bay in place.bays
    )


def _held(planned: Planned, holds: list[Hold], then: str, quiet: frozenset[str]) -> tuple[Held, ...]:
    scale = Scale.of(planned.day)
    drawn = []
    for hold in holds:
        visit = hold.stay.visit
        after = str(hold.after).partition("–")[2]
        keys = [part_key(visit.id, part.id) for part, _ in hold.stay.parts]
        drawn.append(
            Held(
                span=scale.span(hold.held),
                after=scale.span(hold.after),
                visit=visit.id,
                key=keys[0],
                short=short_name(visit.patient),
                quiet=all(key in quiet for key in keys),
                label=f"{hold.id}: {visit.patient} {hold.held}" + (f", {then} {after}" if hold.after.minutes else ""),
            )
        )
    return tuple(drawn)
