"""What one more, or one less, of each thing is worth: the day solved again, and compared aim by aim with the bounds.

A plan of the day is a plan of every day with one more, so such a variant is never said to be worse than the day itself.
"""

import multiprocessing
import signal
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Literal

from solver.errors import NoPlanInTimeError
from solver.names import AimName
from solver.problem import Day
from solver.progress import StopRequest
from solver.schedule import Plan
from solver.variants import KINDS, Kind, Variant, variants

if TYPE_CHECKING:
    from multiprocessing.pool import IMapIterator

LOOK_S = 0.1
"""How often it is asked whether to stop."""

Verdict = Literal["proved", "at least", "open", "no plan"]


@dataclass(frozen=True, slots=True)
class Gain:
    """What the variant gains at the first aim in which it differs; a loss is negative.

    ``proved``: exactly that (``aim`` None: nothing in any aim). ``at least``: that much or more of it. ``open``: the
    difference of the plans found, which more time may change.
    """

    verdict: Verdict
    aim: AimName | None
    minutes_or_points: int


def compared(aims: tuple[AimName, ...], day: Plan, variant: Plan) -> Gain:
    """Aims are in order of rank: the next one counts only where the one before is proved to be the same."""
    for aim in aims:
        least = day.bounds.get(aim, 0) - variant.scores[aim]
        most = day.scores[aim] - variant.bounds.get(aim, 0)
        if least == most == 0:
            continue
        if least == most:
            return Gain("proved", aim, least)
        if least > 0:
            return Gain("at least", aim, least)
        if most < 0:
            return Gain("at least", aim, most)
        return Gain("open", aim, day.scores[aim] - variant.scores[aim])
    return Gain("proved", None, 0)


def whatif(
    day: Day,
    *,
    seconds: float,
    seed: int = 0,
    workers: int = 2,
    kinds: Collection[Kind] = KINDS,
    told: Callable[[int, int], None] = lambda *_: None,
    found: Callable[[dict[str, Any]], None] = lambda _: None,
    should_stop: StopRequest = lambda: False,
) -> dict[str, Any] | None:
    """The comparison as its file has it; None where the day itself is infeasible. ``told``: how many of all are done.

    ``{"format": "channelday-whatif/1", "day": {"status", "left_out", "scores", "bounds"}, "variants": [{"kind", "of",
    "status", "left_out", "scores", "bounds", "verdict", "aim", "gain", "affected"}]}``. ``left_out``: how many visits
    are. ``affected``, of a unit away only: the visits that
    the day's plan has on it. Each is searched for the same ``seconds`` in one of the ``workers`` processes.
    ``kinds``: which variants. ``found`` gets the comparison as far as it is, and it ends there on ``should_stop``.
    Raises NoPlanInTimeError where there is no plan of the day itself in time.
    """
    asked = [variant for variant in variants(day) if variant.kind in kinds]
    jobs = [(each, seconds, seed) for each in [day, *(variant.day for variant in asked)]]
    plans: list[Plan | None] = []
    so_far: dict[str, Any] = {"format": "channelday-whatif/1", "day": {}, "variants": []}
    with multiprocessing.get_context("spawn").Pool(workers, _quiet) as pool:
        for plan in _in_order(pool.imap(_solved, jobs), should_stop):
            plans.append(plan)
            told(len(plans), len(jobs))
            own = plans[0]
            if own is None:
                raise NoPlanInTimeError(seconds)
            if own.status == "infeasible":
                return None
            rows = [_row(day, variant, own, plan) for variant, plan in zip(asked, plans[1:], strict=False)]
            so_far = {**so_far, "day": _found(own), "variants": rows}
            found(so_far)
    return so_far


def _in_order(plans: "IMapIterator[Plan | None]", should_stop: StopRequest) -> Iterator[Plan | None]:
    """Each plan as it comes, until whoever asked does not want any more."""
    while not should_stop():
        try:
            yield plans.next(timeout=LOOK_S)
        except multiprocessing.TimeoutError:
            continue
        except StopIteration:
            return


def _row(day: Day, variant: Variant, own: Plan, plan: Plan | None) -> Mapping[str, Any]:
    away = variant.kind == "unit away"
    if not away:
        plan = own_or_better(day.aims, own, plan)
    row: dict[str, Any] = {"kind": variant.kind, "of": variant.of}
    if plan is None or plan.status == "infeasible":
        status = "unknown" if plan is None else "infeasible"
        row |= {
            "status": status,
            "left_out": None,
            "scores": {},
            "bounds": {},
            "verdict": "no plan",
            "aim": None,
            "gain": None,
        }
    else:
        gain = compared(day.aims, own, plan)
        row |= {**_found(plan), "verdict": gain.verdict, "aim": gain.aim, "gain": gain.minutes_or_points}
    on_it = [visit.id for visit in own.visits if any(part.unit == variant.of for part in visit.parts)]
    return {**row, "affected": on_it if away else []}


def own_or_better(aims: tuple[AimName, ...], own: Plan, plan: Plan | None) -> Plan:
    """The variant's plan, or the day's own with nothing proved where the search found nothing as good."""
    if plan is not None and plan.status != "infeasible":
        if [plan.scores[aim] for aim in aims] <= [own.scores[aim] for aim in aims]:
            return plan
        return replace(own, status="feasible", bounds=_first_bound(aims, plan))
    return replace(own, status="feasible", bounds={})


def _first_bound(aims: tuple[AimName, ...], plan: Plan) -> Mapping[AimName, int]:
    """The first aim's bound holds whatever plan there is; the others only below the plan that they came with."""
    return {aim: plan.bounds[aim] for aim in aims[:1] if aim in plan.bounds}


def _found(plan: Plan) -> dict[str, Any]:
    return {
        "status": plan.status,
        "left_out": len(plan.left_out),
        "scores": dict(plan.scores),
        "bounds": dict(plan.bounds),
    }


def _quiet() -> None:
    """Ctrl-C goes to every process of the terminal; the one that asked ends the others."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def _solved(job: tuple[Day, float, int]) -> Plan | None:
    from solver.search import solve  # here, because whoever only asks does not load the search engine

    day, seconds, seed = job
    try:
        return solve(day, seconds=seconds, seed=seed, workers=1)
    except NoPlanInTimeError:
        return None
