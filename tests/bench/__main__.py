"""``python -m tests.bench [--sizes S,M] [--kinds day,crowded] [--days 3] [--seconds …] [--out FOLDER]``.

Prints a table and writes it as ``bench.md``, and for the days a picture, ``bench.svg``.
"""

import argparse
import sys
import tempfile
from collections.abc import Callable, Collection
from pathlib import Path

from tests.bench.alone import run_alone
from tests.bench.entries import OURS, PEERS, SIZES_OF, cases_of
from tests.bench.judged import Result
from tests.bench.picture import picture
from tests.bench.sizes import SIZES
from tests.bench.table import markdown


def main() -> None:
    asked = _arguments()
    asked.out.mkdir(parents=True, exist_ok=True)
    results: list[Result] = []
    for case in cases_of(asked.kinds, asked.sizes, asked.days, asked.seconds):
        for entry in (OURS, *PEERS):
            if entry.takes(case):
                outcome = run_alone(entry.run, case)
                results.append(Result(case=case, entry=entry, outcome=outcome))
                reached = ", ".join(f"{aim} {score}" for aim, score in outcome.scores.items()) or outcome.note
                sys.stderr.write(f"{case.title}: {entry.name}: {reached}\n")
        _write(results, asked.out)
    sys.stdout.write(f"{markdown(results)}\nWritten to {asked.out}\n")


def _write(results: list[Result], folder: Path) -> None:
    """Written anew after every case, so that a run which is ended early leaves what it has."""
    (folder / "bench.md").write_text(markdown(results), encoding="utf-8")
    drawn = picture(results)
    if drawn:
        (folder / "bench.svg").write_text(drawn, encoding="utf-8")


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(
        prog="python -m tests.bench",
        description="The solver beside general-purpose peers on the same invented days. All of it takes hours.",
    )
    parser.add_argument("--sizes", type=_some_of(SIZES), default=list(SIZES), help="such as S,M; default all")
    parser.add_argument("--kinds", type=_some_of(SIZES_OF), default=list(SIZES_OF), help=f"of {','.join(SIZES_OF)}")
    parser.add_argument("--days", type=int, default=3, help="days of each size; default 3")
    parser.add_argument(
        "--seconds", type=float, help="at most so many for each entry; default by size, as in the goals"
    )
    folder = Path(tempfile.gettempdir()) / "channelday-bench"
    parser.add_argument("--out", type=Path, default=folder, help=f"folder to write to; default {folder}")
    return parser.parse_args()


def _some_of(known: Collection[str]) -> Callable[[str], list[str]]:
    """Reads a list with commas between, each entry one of those known."""

    def read(text: str) -> list[str]:
        words = text.split(",")
        unknown = [word for word in words if word not in known]
        if unknown:
            raise argparse.ArgumentTypeError(f"{unknown[0]!r} is none of {', '.join(known)}")
        return words

    return read


if __name__ == "__main__":
    main()
