"""What one more, or one less, of each thing is worth: the day solved again, and compared aim by aim with the bounds.

A plan of the day is a plan of every day with one more, so such a variant is never said to be worse than the day itself.
"""

import multiprocessing
import signal
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from solver.comparing import Followed, Gain, compared, followed, on_unit, others_moved, own_or_better
from solver.errors import NoPlanInTimeError
from solver.names import AimName, PlanStatus
from solver.problem import Day
from solver.progress import StopRequest
from solver.schedule import Plan
from solver.variants import KINDS, Kind, Variant, variants

if TYPE_CHECKING:
    from multiprocessing.pool import IMapIterator

LOOK_S = 0.1
"""How often it is asked whether to stop."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What a search found. ``left_out``: how many visits are; None, with nothing else, where there is no plan."""

    status: PlanStatus | None
    left_out: int | None = None
    scores: Mapping[AimName, int]
    bounds: Mapping[AimName, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A variant beside the day itself. ``gain`` None: it has no plan.

    Of a unit away only: ``on_it``, the visits that the day's own plan has on it; ``freed``, those that were fixed to
    it; ``followed``, what becomes of those on it, and of others that are left out; ``moved``: how many others are
    elsewhere or at another time.
    """

    kind: Kind
    of: str
    found: Found
    gain: Gain | None
    on_it: tuple[str, ...] = ()
    freed: tuple[str, ...] = ()
    followed: tuple[Followed, ...] = ()
    moved: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """``aims``: of the day, by rank. ``even``: every visit has priority 1, so that the points left out are visits.

    ``day`` None: it is not solved yet.
    """

    aims: tuple[AimName, ...]
    even: bool
    day: Found | None = None
    rows: tuple[Row, ...] = ()


def whatif(
    day: Day,
    *,
    seconds: float,
    seed: int = 0,
    workers: int = 2,
    told: Callable[[int, int], None] = lambda *_: None,
) -> dict[str, Any] | None:
    """The comparison as its file has it; None where the day itself is infeasible. ``told``: how many of all are done.

    ``{"format": "channelday-whatif/1", "day": {"status", "left_out", "scores", "bounds"}, "variants": [{"kind", "of",
    "status", "left_out", "scores", "bounds", "verdict", "aim", "gain", "affected"}]}``. ``left_out``: how many visits
    are. ``affected``, of a unit away only: the visits that the day's plan has on it. Raises as ``compare`` does.
    """
    found = compare(day, seconds=seconds, seed=seed, workers=workers, told=told)
    if found is None:
        return None
    assert found.day is not None, "nobody stopped it"
    return {
        "format": "channelday-whatif/1",
        "day": _document(found.day),
        "variants": [_row_document(row) for row in found.rows],
    }


def compare(
    day: Day,
    *,
    seconds: float,
    seed: int = 0,
    workers: int = 2,
    kinds: Collection[Kind] = KINDS,
    kept: Plan | None = None,
    told: Callable[[int, int], None] = lambda *_: None,
    found: Callable[[Comparison], None] = lambda _: None,
    should_stop: StopRequest = lambda: False,
) -> Comparison | None:
    """The day beside its variants; None where the day itself is infeasible.

    Each is searched for the same ``seconds`` in one of the ``workers`` processes. ``kinds``: which variants. ``kept``:
    the plan from which visits are followed where a unit is away; the day's own, found here, where it is None. ``told``:
    how many of all are done. ``found`` gets the comparison as far as it is, and it ends there on ``should_stop``.
    Raises NoPlanInTimeError where there is no plan of the day itself in time.
    """
    asked = [variant for variant in variants(day) if variant.kind in kinds]
    jobs = [(each, seconds, seed) for each in [day, *(variant.day for variant in asked)]]
    plans: list[Plan | None] = []
    so_far = Comparison(aims=day.aims, even=all(visit.priority == 1 for visit in day.visits))
    with multiprocessing.get_context("spawn").Pool(workers, _quiet) as pool:
        for plan in _in_order(pool.imap(_solved, jobs), should_stop):
            plans.append(plan)
            told(len(plans), len(jobs))
            own = plans[0]
            if own is None:
                raise NoPlanInTimeError(seconds)
            if own.status == "infeasible":
                return None
            if len(plans) == 1:
                so_far = replace(so_far, day=_found(own))
            else:
                row = _row(day, asked[len(plans) - 2], own, plan, kept or own)
                so_far = replace(so_far, rows=(*so_far.rows, row))
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


def _row(day: Day, variant: Variant, own: Plan, plan: Plan | None, kept: Plan) -> Row:
    away = variant.kind == "unit away"
    row = Row(
        kind=variant.kind,
        of=variant.of,
        found=Found(status=None if plan is None else plan.status, scores={}, bounds={}),
        gain=None,
        on_it=on_unit(own, variant.of) if away else (),
        freed=variant.freed,
    )
    if not away:
        plan = own_or_better(day.aims, own, plan)
    if plan is None or plan.status == "infeasible":
        return row
    row = replace(row, found=_found(plan), gain=compared(day.aims, own, plan))
    if not away:
        return row
    return replace(row, followed=followed(kept, plan, variant.of), moved=others_moved(kept, plan, variant.of))


def _found(plan: Plan) -> Found:
    return Found(status=plan.status, left_out=len(plan.left_out), scores=dict(plan.scores), bounds=dict(plan.bounds))


def _document(found: Found) -> dict[str, Any]:
    return {
        "status": found.status or "unknown",
        "left_out": found.left_out,
        "scores": dict(found.scores),
        "bounds": dict(found.bounds),
    }


def _row_document(row: Row) -> dict[str, Any]:
    gain = row.gain
    return {
        "kind": row.kind,
        "of": row.of,
        **_document(row.found),
        "verdict": "no plan" if gain is None else gain.verdict,
        "aim": None if gain is None else gain.aim,
        "gain": None if gain is None else gain.minutes_or_points,
        "affected": list(row.on_it),
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
