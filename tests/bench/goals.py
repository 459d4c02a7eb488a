"""The goals set for the solver, each beside the worst that the run reached, met or missed by how much."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from solver.names import AimName
from tests.bench.cases import Kind
from tests.bench.judged import Result, known_at, proved_at

NEAR_MIN = 5
OPTIMA = {
    "ft06": 55, "la01": 666, "la02": 655, "la03": 597, "la05": 593,
    "ft10": 930, "ft20": 1165, "abz5": 1234, "abz6": 943,
}  # fmt: skip
"""Published optimal makespans: Fisher & Thompson 1963; Lawrence 1984; Adams, Balas & Zawack 1988."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """One goal: what was wanted, what was reached on the worst day, and ``met`` or by how much it was missed."""

    goal: str
    wanted: str
    reached: str
    verdict: str


def verdicts(results: Sequence[Result]) -> list[Verdict]:
    """Of every goal for which the run has a result."""
    found = [*_days(results), *_crowded(results), *_repairs(results), *_job_shops(results)]
    return [verdict for verdict in found if verdict is not None]


def _mine(results: Sequence[Result], kind: Kind, name: str) -> list[Result]:
    return [r for r in results if r.ours and r.case.kind == kind and r.case.name == name]


def _most(goal: str, most: float, unit: str, values: Sequence[float | None], short: str = "") -> Verdict | None:
    """A goal that the greatest of the values is at most ``most``; None stands for a value that was never reached."""
    if not values:
        return None
    wanted = f"≤ {most:g}{unit}"
    known = [value for value in values if value is not None]
    if len(known) < len(values):
        reached = f"{len(known)} of {len(values)} days" + (f", slowest {max(known):.3g}{unit}" if known else "")
        return Verdict(goal, wanted, reached + short, f"missed on {len(values) - len(known)}")
    worst = max(known)
    verdict = "met" if worst <= most else f"missed: {worst / most:.2f} times as much"
    return Verdict(goal, wanted, f"{worst:.3g}{unit}{short}", verdict)


def _days(results: Sequence[Result]) -> Iterable[Verdict | None]:
    first = {"S": 0.005, "M": 0.015, "L": 0.060, "XL": 0.8}
    wish = {"S": [(1.00, 2)], "M": [(1.00, 5)], "L": [(1.02, 30)], "XL": [(1.10, 60), (1.05, 120)]}
    proof = {"S": 1, "M": 20, "L": 120}
    memory = {"S": 200, "M": 400, "L": 1000, "XL": 2000}
    for size in first:
        mine = _mine(results, "day", size)
        firsts = [None if r.outcome.first is None else 1000 * r.outcome.first for r in mine]
        yield _most(f"{size}: first plan", 1000 * first[size], " ms", firsts)
        for most, seconds in wish[size]:
            yield _near(f"{size}: minutes from wish ÷ bound in {seconds} s", most, seconds, mine, "wish")
        if size in proof:
            yield _most(f"{size}: all aims proved", proof[size], " s", [r.outcome.proof for r in mine])
        yield _most(f"{size}: peak memory", memory[size], " MB", [r.outcome.memory_mb for r in mine])


def _near(goal: str, most: float, seconds: float, mine: Sequence[Result], aim: AimName) -> Verdict | None:
    """The aim's score by its bound as both were known at the time; at most 5 minutes apart is as good as equal."""
    if not mine:
        return None
    ratios, apart = [], []
    for result in mine:
        known = known_at(result.outcome, seconds)
        if known is None or aim not in known.scores:
            return Verdict(goal, f"≤ {most:.2f}", "no plan on a day", "missed")
        score, bound = known.scores[aim], known.bounds[aim]
        near = score - bound <= NEAR_MIN
        ratios.append(1.0 if near else score / bound if bound else float("inf"))
        apart.append(f"{score} : {bound}")
    ran = min(result.case.seconds for result in mine)
    short = f"; the run had {ran:g} s only" if ran < seconds else ""
    worst = max(ratios)
    shown = f"{worst:.2f}" if worst < float("inf") else "no bound yet"
    reached = f"{shown} ({', '.join(apart)}){short}"
    if worst <= most:
        return Verdict(goal, f"≤ {most:.2f}", reached, "met")
    missed = f"missed by {worst - most:.2f}" if worst < float("inf") else "missed"
    return Verdict(goal, f"≤ {most:.2f}", reached, missed)


def _crowded(results: Sequence[Result]) -> Iterable[Verdict | None]:
    for size in ("S", "M"):
        mine = _mine(results, "crowded", size)
        proofs = [proved_at(r.outcome, ["placed"]) if r.outcome.scores else None for r in mine]
        yield _most(f"{size} crowded: placed proved", min((r.case.seconds for r in mine), default=0), " s", proofs)
    large = _mine(results, "crowded", "L")
    if large:
        scores = [(r.outcome.scores.get("placed", 0), r.outcome.bounds.get("placed", 0)) for r in large]
        met = all(score <= 1.03 * bound for score, bound in scores)
        reached = ", ".join(f"{score} : {bound}" for score, bound in scores)
        yield Verdict("L crowded: placed ÷ bound", "≤ 1.03", reached, "met" if met else "missed")
    yield _near("M crowded: minutes from wish ÷ bound in 20 s", 1.05, 20, _mine(results, "crowded", "M"), "wish")


def _repairs(results: Sequence[Result]) -> Iterable[Verdict | None]:
    yield _most("M repair: proved", 5, " s", [r.outcome.proof for r in _mine(results, "repair", "M")])
    large = _mine(results, "repair", "L")
    known = [known_at(r.outcome, 20) for r in large]
    apart = [None if m is None else float(m.scores["stable"] - m.bounds["stable"]) for m in known]
    yield _most("L repair: stable less its bound in 20 s", 10, " min", apart)


def _job_shops(results: Sequence[Result]) -> Iterable[Verdict | None]:
    for name in ("ft06", "la01", "la02", "la03", "la05"):
        yield _most(f"{name}: proved", 0.5, " s", [r.outcome.proof for r in _mine(results, "job-shop", name)])
    for result in _mine(results, "job-shop", "ft10"):
        theirs = [r for r in results if r.case == result.case and not r.ours and r.outcome.proof is not None]
        for peer in theirs:
            yield _most(
                f"ft10: proved, ahead of {peer.entry.name}", peer.outcome.proof or 0, " s", [result.outcome.proof]
            )
    for name, optimum in OPTIMA.items():
        for result in _mine(results, "job-shop", name):
            yield _true(result, optimum)


def _true(result: Result, optimum: int) -> Verdict:
    """Never below the published optimum; equal to it where it is said to be optimal; no bound above it."""
    goal, outcome = f"{result.case.name}: true to the published optimum", result.outcome
    if not outcome.scores or outcome.scores["placed"]:
        return Verdict(goal, str(optimum), "no plan with every job in it", "missed")
    score, bound, proved = outcome.scores["finish"], outcome.bounds["finish"], outcome.proof is not None
    right = bound <= optimum <= score and (not proved or score == optimum)
    return Verdict(
        goal, str(optimum), f"{score}, {'proved' if proved else f'bound {bound}'}", "met" if right else "WRONG"
    )
