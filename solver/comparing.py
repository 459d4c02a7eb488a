"""Two plans of nearly the same day, compared aim by aim with their bounds; and what becomes of visits between them."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal, Protocol

from solver.names import AimName
from solver.schedule import PlacedVisit, Plan

Verdict = Literal["proved", "at least", "open", "no plan"]


class Score(Protocol):
    """A plan, or what is known of it."""

    @property
    def scores(self) -> Mapping[AimName, int]: ...

    @property
    def bounds(self) -> Mapping[AimName, int]: ...


@dataclass(frozen=True, slots=True)
class Gain:
    """What the variant gains at the first aim in which it differs; a loss is negative.

    ``proved``: exactly that (``aim`` None: nothing in any aim). ``at least``: that much or more of it. ``open``: the
    difference of the plans found, which more time may change. ``least`` and ``most``: between them it lies, whatever
    plans more time would find.
    """

    verdict: Verdict
    aim: AimName | None
    minutes_or_points: int
    least: int = 0
    most: int = 0


def span_of(aim: AimName, day: Score, variant: Score) -> tuple[int, int]:
    """The least and the most that the variant can gain in the aim; the aims before must be proved to be the same."""
    return day.bounds.get(aim, 0) - variant.scores[aim], day.scores[aim] - variant.bounds.get(aim, 0)


def compared(aims: tuple[AimName, ...], day: Plan, variant: Plan) -> Gain:
    """Aims are in order of rank: the next one counts only where the one before is proved to be the same."""
    for aim in aims:
        least, most = span_of(aim, day, variant)
        if least == most == 0:
            continue
        if least == most:
            return Gain("proved", aim, least, least, most)
        if least > 0:
            return Gain("at least", aim, least, least, most)
        if most < 0:
            return Gain("at least", aim, most, least, most)
        return Gain("open", aim, day.scores[aim] - variant.scores[aim], least, most)
    return Gain("proved", None, 0)


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


@dataclass(frozen=True, slots=True)
class Where:
    """When a visit begins, in minutes from midnight, and on which units it is, in the order of its parts."""

    start: int
    units: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Followed:
    """A visit in one plan and in another. ``after`` None: it is left out there."""

    visit: str
    before: Where
    after: Where | None


def on_unit(plan: Plan, unit: str) -> tuple[str, ...]:
    """The visits of the plan that are on the unit, in its order."""
    return tuple(visit.id for visit in plan.visits if any(part.unit == unit for part in visit.parts))


def followed(before: Plan, after: Plan, unit: str) -> tuple[Followed, ...]:
    """Visits on the unit before, and others that are left out for it; in the order of their starts before."""
    then = {visit.id: _where(visit) for visit in after.visits}
    on_it = set(on_unit(before, unit))
    rows = [Followed(visit.id, _where(visit), then.get(visit.id)) for visit in before.visits]
    return tuple(sorted((row for row in rows if row.visit in on_it or row.after is None), key=_by_start))


def others_moved(before: Plan, after: Plan, unit: str) -> int:
    """How many visits that were not on the unit are at another time, or on another unit, than before."""
    then = {visit.id: _where(visit) for visit in after.visits}
    on_it = set(on_unit(before, unit))
    others = (visit for visit in before.visits if visit.id not in on_it and visit.id in then)
    return sum(_where(visit) != then[visit.id] for visit in others)


def _where(visit: PlacedVisit) -> Where:
    return Where(visit.parts[0].start, tuple(dict.fromkeys(part.unit for part in visit.parts)))


def _by_start(row: Followed) -> tuple[int, str]:
    return row.before.start, row.visit
