"""``python -m tests.bench.progress [--size L] [--seed 1] [--seconds 60] [--out FILE.svg]``: one day, score and bound.

Draws how the minutes from wish fall and their proved bound rises while a day is solved, and prints the same as a table.
"""

import argparse
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from tests.bench.cases import Case
from tests.bench.ours import run_ours
from tests.bench.outcome import Moment
from tests.bench.sizes import SIZES

WIDTH, HEIGHT, LEFT, RIGHT, TOP, BOTTOM = 920, 380, 70, 150, 64, 48
"""Pixels: the picture, and what is kept free of the curves on each side."""
ROUND = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000)
TICKS = 5


@dataclass(frozen=True, slots=True)
class Mark:
    """A line of the scale: where in pixels, and what it says."""

    at: float
    text: str


def main() -> None:
    asked = _arguments()
    case = Case(kind="day", name=asked.size, seed=asked.seed, seconds=asked.seconds)
    moments = [moment for moment in run_ours(case).moments if "wish" in moment.scores]
    if not moments:
        sys.exit("no plan was found in the time")
    asked.out.write_text(drawn(case, moments), encoding="utf-8")
    for moment in _thinned(moments):
        sys.stdout.write(f"{moment.seconds:7.1f} s  {moment.scores['wish']:5d}  bound {moment.bounds['wish']:5d}\n")
    sys.stdout.write(f"Written to {asked.out}\n")


def drawn(case: Case, moments: Sequence[Moment]) -> str:
    """An SVG of the course; its text says its first and its last state."""
    figures, last = SIZES[case.name], moments[-1]
    top = max(moment.scores["wish"] for moment in moments) or 1
    across, down = WIDTH - LEFT - RIGHT, HEIGHT - TOP - BOTTOM

    def x(seconds: float) -> float:
        return LEFT + across * min(1.0, seconds / case.seconds)

    def y(minutes: float) -> float:
        return TOP + down * (1 - minutes / top)

    def steps(values: Sequence[int]) -> str:
        """A path that holds each value until the next moment."""
        path = f"M{x(moments[0].seconds):.1f} {y(values[0]):.1f}"
        for moment, value in zip(moments[1:], values[1:], strict=True):
            path += f"H{x(moment.seconds):.1f}V{y(value):.1f}"
        return path + f"H{x(case.seconds):.1f}"

    step = next(step for step in ROUND if top / step <= TICKS)
    seconds = next(step for step in ROUND if case.seconds / step <= TICKS + 1)
    folder = FileSystemLoader(Path(__file__).parent)
    template = Environment(loader=folder, autoescape=True, undefined=StrictUndefined).get_template("progress.svg.j2")
    return template.render(
        title=f"{case.title}: {figures.units} units, {figures.visits} visits, {figures.staff} staff",
        score=steps([moment.scores["wish"] for moment in moments]),
        bound=steps([moment.bounds["wish"] for moment in moments]),
        first=moments[0],
        last=last,
        ends=(y(last.scores["wish"]), y(last.bounds["wish"])),
        minutes=[Mark(y(value), str(value)) for value in range(0, top + 1, step)],
        seconds=[Mark(x(value), str(value)) for value in range(0, int(case.seconds) + 1, seconds)],
        width=WIDTH,
        height=HEIGHT,
        left=LEFT,
        right=WIDTH - RIGHT,
        top=TOP,
        bottom=HEIGHT - BOTTOM,
    )


def _thinned(moments: Sequence[Moment]) -> list[Moment]:
    """About twenty of them, with the last."""
    return [*moments[:: max(1, len(moments) // 20)], moments[-1]]


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.bench.progress", description=__doc__)
    parser.add_argument("--size", choices=SIZES, default="L")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument("--out", type=Path, default=Path("progress.svg"))
    return parser.parse_args()


if __name__ == "__main__":
    main()
