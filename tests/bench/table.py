"""The bench's results as Markdown."""

import os
import platform
from collections.abc import Iterable, Mapping, Sequence

from solver.names import AIMS, AimName
from tests.bench.cases import Case, Kind
from tests.bench.goals import verdicts
from tests.bench.judged import Result, ahead, our_result, ours_by_theirs
from tests.bench.sizes import SIZES

TITLES: dict[Kind, str] = {
    "day": "Days",
    "crowded": "Crowded days: visits must be left out",
    "repair": "Repairs: a published plan, and a therapist ill at ten",
    "job-shop": "Job shops, as days",
}
HEAD = (
    "entry", "aims reached", "bound", "first s", "best s", "proof s", "memory MB", "ours ÷ theirs", "ahead",
)  # fmt: skip


def markdown(results: Sequence[Result]) -> str:
    """The whole report: goals, every case, what the peers were spared, where a peer is ahead, growth with size."""
    sections = [
        "# Bench",
        _preface(),
        "## Goals",
        _table(
            ("goal", "wanted", "reached, worst day", "verdict"),
            [(v.goal, v.wanted, v.reached, v.verdict) for v in verdicts(results)],
        ),
    ]
    for kind, title in TITLES.items():
        cases = _cases(results, kind)
        if cases:
            sections += [f"## {title}", *(part for case in cases for part in _case(results, case))]
    sections += ["## Where a peer is ahead", _peers_ahead(results), "## What the peers are spared", _spared(results)]
    growth = _growth(results)
    if growth:
        sections += ["## Growth with size", growth]
    return "\n\n".join(sections) + "\n"


def _preface() -> str:
    about = (
        f"Python {platform.python_version()}, {platform.machine()}, {os.cpu_count()} cores. Each entry ran in a "
        "process of its own, one after the other, with the same time. Seconds are of the wall clock, from when the "
        "solvers' libraries are loaded; memory is the greatest of the process, libraries included. On a machine that "
        "others use too, seconds vary from run to run, and ratios of one run hold better. The days are invented."
    )
    columns = (
        f"Aims and bounds are given in the order {', '.join(AIMS)}; – where an entry does not know the aim. *First*, "
        "*best*, *proof*: seconds to the first plan, to the best one, to the proof that it is best; – where it was not "
        "reached or the entry does not tell. Ours counts all aims of the day, so its proof says more than that of a "
        "peer which knows two or three: *ours ÷ theirs* and *ahead* look at the aims that both know, and at when those "
        "were proved."
    )
    return f"{about}\n\n{columns}"


def _cases(results: Sequence[Result], kind: Kind) -> list[Case]:
    return list(dict.fromkeys(result.case for result in results if result.case.kind == kind))


def _case(results: Sequence[Result], case: Case) -> Iterable[str]:
    mine = our_result(results, case)
    rows = []
    for result in results:
        if result.case == case:
            outcome, beside = result.outcome, ("", "")
            if not result.ours and mine is not None:
                beside = (ours_by_theirs(mine.outcome, outcome), ahead(mine.outcome, outcome))
            numbers = (_seconds(outcome.first), _seconds(outcome.best), _seconds(outcome.proof))
            reached = _aims(outcome.scores) if outcome.scores else outcome.note
            name = result.entry.name
            if outcome.scores and outcome.note:
                name += f" ({outcome.note})"
            memory = "–" if outcome.memory_mb is None else f"{outcome.memory_mb:.0f}"
            rows.append((name, reached, _aims(outcome.bounds), *numbers, memory, *beside))
    yield f"### {case.title}, {case.seconds:g} s"
    yield _table(HEAD, rows)


def _aims(values: Mapping[AimName, int]) -> str:
    if not values:
        return "–"
    return " · ".join(str(values.get(aim, "–")) for aim in AIMS)


def _seconds(value: float | None) -> str:
    if value is None:
        return "–"
    return f"{value:.3f}" if value < 0.1 else f"{value:.2f}" if value < 10 else f"{value:.0f}"


def _peers_ahead(results: Sequence[Result]) -> str:
    lines = []
    for result in results:
        mine = our_result(results, result.case)
        if not result.ours and mine is not None and ahead(mine.outcome, result.outcome) == "peer":
            spared = " (on the easier problem)" if result.entry.dropped and result.case.kind != "job-shop" else ""
            beside = ours_by_theirs(mine.outcome, result.outcome)
            lines.append(f"- {result.case.title}: {result.entry.name}{spared}; ours ÷ theirs: {beside}")
    return "\n".join(lines) or "Nowhere in this run."


def _spared(results: Sequence[Result]) -> str:
    entries = dict.fromkeys(result.entry for result in results if not result.ours)
    lines = [f"- **{entry.name}**: {entry.dropped or 'nothing; it keeps every rule'}." for entry in entries]
    return "\n".join(lines) + (
        "\n\nA peer that is spared rules solves an easier problem: no right plan may reach what it reaches."
    )


def _growth(results: Sequence[Result]) -> str:
    """Means over the days of each size; the last column is the largest size by the smallest."""
    sizes = [size for size in SIZES if any(r.case.kind == "day" and r.case.name == size for r in results)]
    if len(sizes) < 2:
        return ""
    rows = []
    for entry in dict.fromkeys(r.entry for r in results if r.case.kind == "day"):
        for what in ("first s", "memory MB"):
            means = [_mean(results, entry.name, size, what) for size in sizes]
            shown = ["–" if mean is None else f"{mean:.3f}" if what == "first s" else f"{mean:.0f}" for mean in means]
            small, large = means[0], means[-1]
            growth = f"× {large / small:.1f}" if small and large else "–"
            rows.append((entry.name, what, *shown, growth))
    return _table(("entry", "mean of", *sizes, f"{sizes[0]} to {sizes[-1]}"), rows)


def _mean(results: Sequence[Result], entry: str, size: str, what: str) -> float | None:
    """None where any day of the size gave no plan."""
    here = [r.outcome for r in results if r.entry.name == entry and r.case.kind == "day" and r.case.name == size]
    values = [outcome.first if what == "first s" else outcome.memory_mb for outcome in here if outcome.scores]
    known = [value for value in values if value is not None]
    return sum(known) / len(known) if known and len(known) == len(here) else None


def _table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    lines = [head, ["---"] * len(head), *rows]
    return "\n".join("| " + " | ".join(cell.replace("|", "\\|") for cell in line) + " |" for line in lines)
