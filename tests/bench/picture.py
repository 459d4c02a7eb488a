"""The bench's days as one picture: minutes from wish that each entry reached, by size."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from tests.bench.entries import OURS, Entry
from tests.bench.judged import Result
from tests.bench.outcome import Outcome
from tests.bench.sizes import SIZES

WIDTH, LABEL, BARS, ROW, GAP, TOP = 920, 190, 430, 24, 40, 84
"""Pixels: the picture, the entries' names, the longest bar, a row, between sizes, above the first size."""


@dataclass(frozen=True, slots=True)
class Bar:
    """One entry's row in a size. ``width`` and ``bound`` in pixels; None: no bar, no tick."""

    name: str
    y: int
    width: float | None
    bound: float | None
    text: str
    ours: bool


@dataclass(frozen=True, slots=True)
class Group:
    title: str
    y: int
    bars: tuple[Bar, ...]


def picture(results: Sequence[Result]) -> str:
    """An SVG of the results for days of their own; its text says what its bars say. Empty where there are none."""
    groups, y = [], TOP
    for size in SIZES:
        here = [result for result in results if result.case.kind == "day" and result.case.name == size]
        if here:
            group = _group(size, here, y)
            groups.append(group)
            y += ROW * (len(group.bars) + 1) + GAP
    if not groups:
        return ""
    folder = FileSystemLoader(Path(__file__).parent)
    environment = Environment(loader=folder, autoescape=True, undefined=StrictUndefined)
    template = environment.get_template("picture.svg.j2")
    return template.render(groups=groups, width=WIDTH, height=y, label=LABEL, bars=BARS, row=ROW)


def _group(size: str, here: Sequence[Result], y: int) -> Group:
    entries = list(dict.fromkeys(result.entry for result in here))
    outcomes = {entry: [result.outcome for result in here if result.entry is entry] for entry in entries}
    longest = max([1.0, *(mean for mean in (_mean_wish(found) for found in outcomes.values()) if mean is not None)])
    figures, days = SIZES[size], len(outcomes[entries[0]])
    title = (
        f"{size}: {figures.units} units, {figures.visits} visits, {figures.staff} staff; "
        f"mean of {days} day{'s' if days > 1 else ''}, {here[0].case.seconds:g} s each"
    )
    bars = [_bar(entry, outcomes[entry], longest, y + ROW * (n + 1)) for n, entry in enumerate(entries)]
    return Group(title, y, tuple(bars))


def _mean_wish(outcomes: Sequence[Outcome]) -> float | None:
    """None where any of the days has no plan."""
    wishes = [outcome.scores.get("wish") for outcome in outcomes]
    known = [wish for wish in wishes if wish is not None]
    return sum(known) / len(known) if len(known) == len(wishes) else None


def _bar(entry: Entry, outcomes: Sequence[Outcome], longest: float, y: int) -> Bar:
    mean = _mean_wish(outcomes)
    ours = entry is OURS
    name = entry.name + (" *" if entry.dropped else "")
    if mean is None:
        missing = sum(not outcome.scores for outcome in outcomes)
        return Bar(
            name, y, None, None, "no plan" + (f" on {missing} of {len(outcomes)}" if len(outcomes) > 1 else ""), ours
        )
    bounds = [outcome.bounds.get("wish") for outcome in outcomes]
    known = [bound for bound in bounds if bound is not None]
    bound = sum(known) / len(known) if len(known) == len(bounds) else None
    text = f"{mean:.0f} min"
    left = sum(outcome.scores["placed"] for outcome in outcomes) / len(outcomes)
    if left:
        text += f", left out {left:.1f}"
    if bound is not None:
        text += ", proved" if bound == mean else f", bound {bound:.0f}"
    return Bar(name, y, BARS * mean / longest, None if bound is None else BARS * bound / longest, text, ours)
