"""A start that was chosen, drawn in its day before it is booked: the Day room's bands, with the visit marked."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from app.views.choices import Choices
from app.views.page import DayPage, day_page
from app.views.parts import Planned
from app.views.units import Rail, UnitBand

PROPOSED = "proposed"


@dataclass(frozen=True, slots=True)
class Drawn:
    """``page``: as the Day room draws it, with the bands of the visit's units only."""

    page: DayPage


def drawn(planned: Planned, state: str, version: int, visits: Iterable[str], now: int | None) -> Drawn:
    """The day with the visits placed in it; their blocks have the state ``proposed``."""
    wanted = set(visits)
    units = {part.placed.unit for part in planned.parts if part.visit.id in wanted}
    page = day_page(planned, state, version, Choices(), now)
    return Drawn(replace(page, units=tuple(_marked(unit, wanted) for unit in page.units if unit.id in units)))


def _marked(unit: UnitBand, visits: set[str]) -> UnitBand:
    return replace(unit, rails=tuple(_rail(rail, visits) for rail in unit.rails))


def _rail(rail: Rail, visits: set[str]) -> Rail:
    """Free stretches are left out: they lead to the Day room's panel, which is not here."""
    blocks = tuple(
        replace(block, state=PROPOSED, label=f"proposed: {block.label}") if block.visit in visits else block
        for block in rail.blocks
    )
    return replace(rail, blocks=blocks, gaps=())
