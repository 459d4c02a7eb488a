"""Outcomes set side by side: who is ahead, by how much, and when an aim was proved."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from solver.names import AIMS, AimName
from tests.bench.cases import Case
from tests.bench.entries import OURS, Entry
from tests.bench.outcome import Moment, Outcome

Ahead = Literal["ours", "peer", "even", "–"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Result:
    """What an entry reached on a case."""

    case: Case
    entry: Entry
    outcome: Outcome

    @property
    def ours(self) -> bool:
        return self.entry is OURS


def our_result(results: Sequence[Result], case: Case) -> Result | None:
    return next((result for result in results if result.ours and result.case == case), None)


def shared_aims(one: Outcome, other: Outcome) -> list[AimName]:
    return [aim for aim in AIMS if aim in one.scores and aim in other.scores]


def proved_at(outcome: Outcome, aims: Sequence[AimName]) -> float | None:
    """Seconds until every one of the aims was proved at its final score; None where that did not happen."""

    def proved(moment: Moment) -> bool:
        return all(moment.scores[aim] == moment.bounds[aim] == outcome.scores[aim] for aim in aims)

    if outcome.moments:
        return next((moment.seconds for moment in outcome.moments if proved(moment)), None)
    return outcome.proof


def known_at(outcome: Outcome, seconds: float) -> Moment | None:
    """What was known at that time; None before the first plan."""
    return next((moment for moment in reversed(outcome.moments) if moment.seconds <= seconds), None)


def ahead(ours: Outcome, theirs: Outcome) -> Ahead:
    """By the aims that both score, in order; where those are equal, by the proof of them; then by the time to the best.

    ``–`` where neither has a plan.
    """
    if not ours.scores or not theirs.scores:
        return "ours" if ours.scores else "peer" if theirs.scores else "–"
    aims = shared_aims(ours, theirs)
    mine, other = [ours.scores[aim] for aim in aims], [theirs.scores[aim] for aim in aims]
    if mine != other:
        return "ours" if mine < other else "peer"
    my_proof, their_proof = proved_at(ours, aims), proved_at(theirs, aims)
    if my_proof is not None or their_proof is not None:
        return "ours" if (my_proof or _NEVER) < (their_proof or _NEVER) else "peer"
    if ours.best is None or theirs.best is None or ours.best == theirs.best:
        return "even"
    return "ours" if ours.best < theirs.best else "peer"


_NEVER = float("inf")


def ours_by_theirs(ours: Outcome, theirs: Outcome) -> str:
    """Our score by theirs for the first aim that differs, and our seconds to the shared proof by theirs."""
    if not ours.scores or not theirs.scores:
        return "–"
    aims = shared_aims(ours, theirs)
    differs = next((aim for aim in aims if ours.scores[aim] != theirs.scores[aim]), None)
    parts = []
    if differs is None:
        parts.append("same aims")
    elif ours.scores[differs] and theirs.scores[differs]:
        parts.append(f"{differs} {ours.scores[differs] / theirs.scores[differs]:.2f}")
    else:
        parts.append(f"{differs} {ours.scores[differs]} : {theirs.scores[differs]}")
    my_proof, their_proof = proved_at(ours, aims), proved_at(theirs, aims)
    if my_proof is not None and their_proof:
        parts.append(f"proof {my_proof / their_proof:.2f}")
    if ours.memory_mb and theirs.memory_mb:
        parts.append(f"memory {ours.memory_mb / theirs.memory_mb:.1f}")
    return ", ".join(parts)
