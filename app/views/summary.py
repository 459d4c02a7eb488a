"""How good the plan is, in words, and how a running search stands."""

from collections.abc import Mapping
from dataclasses import dataclass

from app.views.words import AIM_HELP, AIM_WORDS
from solver.names import AimName
from solver.problem import Day
from solver.schedule import Plan


@dataclass(frozen=True, slots=True)
class AimLine:
    """One aim: ``verdict`` says what is proved about the score, nothing where nothing is. ``help``: what it counts."""

    name: str
    words: str
    score: int
    verdict: str
    help: str


@dataclass(frozen=True, slots=True)
class Summary:
    """``proof``: what is and what is not proved."""

    version: int
    placed: int
    left_out: int
    proof: str
    aims: tuple[AimLine, ...]


def aim_lines(
    aims: tuple[AimName, ...], scores: Mapping[AimName, int], bounds: Mapping[AimName, int]
) -> tuple[AimLine, ...]:
    """The aims in the day's order, as far as there are scores for them."""
    return tuple(
        AimLine(aim, AIM_WORDS[aim], scores[aim], verdict(scores[aim], bounds.get(aim, 0)), AIM_HELP[aim])
        for aim in aims
        if aim in scores
    )


def verdict(score: int, bound: int) -> str:
    if score == bound:
        return "proved least"
    return f"at least {bound} in any plan" if bound else ""


def summary(day: Day, plan: Plan, version: int) -> Summary:
    return Summary(
        version=version,
        placed=len(plan.visits),
        left_out=len(plan.left_out),
        proof=_proof(plan),
        aims=aim_lines(day.aims, plan.scores, plan.bounds),
    )


def _proof(plan: Plan) -> str:
    if plan.status == "optimal":
        return "Every rule holds, and every aim is proved as small as it can be."
    if not any(verdict(score, plan.bounds.get(aim, 0)) for aim, score in plan.scores.items()):
        return "Every rule holds. The time was too short to prove how good the plan is: give it more seconds."
    return "Every rule holds. A better plan may exist where an aim is not proved least."


@dataclass(frozen=True, slots=True)
class ProgressView:
    """A search as the page shows it. ``percent`` of the seconds given are over. ``running`` False: ``message`` says how
    it ended and ``lines`` what went wrong, if anything did. ``proposed``: a proposal waits for the desk."""

    running: bool
    cancelling: bool
    percent: int
    seconds: int
    limit: int
    aiming: str
    aims: tuple[AimLine, ...]
    message: str
    lines: tuple[str, ...]
    proposed: bool = False


def aiming_words(aim: AimName | None) -> str:
    return "making plans and improving them" if aim is None else f"now making small: {AIM_WORDS[aim]}"
