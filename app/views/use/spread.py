"""How often minutes came up in many runs, in piles to draw side by side and to read as a table."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from solver.clock import clock

HEIGHT = 120
"""Of the highest pile in the drawing."""
MOST_PILES = 16
WIDTHS = (5, 10, 15, 20, 30, 60, 120)
WAITS = (0, 5, 10, 15, 20, 30, 45, 60, 90)
"""The most minutes of each pile of waits but the last; the first has those who do not wait."""

Kind = Literal["early", "late", "closed"]
KIND_WORDS: Mapping[Kind, str] = {
    "early": "not later than planned",
    "late": "later than planned",
    "closed": "after closing",
}


@dataclass(frozen=True, slots=True)
class Pile:
    """``short``: what stands under it. ``height``: of the drawing. ``kind`` is told by its pattern and by ``words``."""

    name: str
    short: str
    often: int
    percent: str
    height: float
    kind: Kind

    @property
    def words(self) -> str:
        return KIND_WORDS[self.kind]


def end_piles(finish: Mapping[int, int], planned: int, close: int) -> tuple[Pile, ...]:
    """Ends of the day, in piles as wide as need be. One ends at the planned end, and one at closing."""
    if not finish:
        return ()
    first, last = min(finish), max(finish)
    width = next((wide for wide in WIDTHS if last - first <= wide * (MOST_PILES - 2)), WIDTHS[-1])
    steps = range(-((planned - first) // width), -((planned - last) // width) + 1)
    edges = {planned + width * step for step in steps}
    if first <= close < last:
        edges.add(close)
    piles: list[tuple[str, str, int, Kind]] = []
    before = None
    for edge in sorted(edges):
        often = sum(times for minute, times in finish.items() if minute <= edge and (before is None or minute > before))
        name = f"until {clock(edge)}" if before is None else f"{clock(before + 1)} to {clock(edge)}"
        kind: Kind = "early" if edge <= planned else "closed" if before is not None and before >= close else "late"
        piles.append((name, clock(edge), often, kind))
        before = edge
    return tuple(_drawn(piles, sum(finish.values()), max(often for _, _, often, _ in piles)))


def wait_piles(waits: Mapping[int, int]) -> tuple[Pile, ...]:
    """Waits from none to the longest. The heights are those of the piles of who waits."""
    longest = max(waits, default=0)
    piles: list[tuple[str, str, int, Kind]] = []
    before = -1
    for edge in (*(edge for edge in WAITS if edge < longest), longest):
        often = sum(times for minutes, times in waits.items() if before < minutes <= edge)
        name = "none" if not edge else str(edge) if edge == before + 1 else f"{before + 1}–{edge}"
        piles.append((name, name, often, "late"))
        before = edge
    return tuple(_drawn(piles, sum(waits.values()), max((often for _, _, often, _ in piles[1:]), default=0)))


def _drawn(piles: Iterable[tuple[str, str, int, Kind]], all_of_them: int, most: int) -> Iterable[Pile]:
    for name, short, often, kind in piles:
        percent = f"{100 * often / all_of_them:.1f}" if all_of_them else "0.0"
        yield Pile(name, short, often, percent, round(HEIGHT * often / max(most, 1), 1), kind)
