"""What holds a planned day back: minutes left out, or away from their wish, by the resource that stood in the way.

**Which visits are asked about, and at which start.** A visit that the plan leaves out, at its wished start; where it
has none, at the earliest start on the grid from which it would end, its parts with the shortest waits, within one of
its free times and the opening hours (where there is no such start: at the beginning of its first free time, or of the
day). A visit that is placed at another start than it wished for, at the wished one. No other visit is asked about.

**What counts.** The minutes of a visit that is left out (its parts, without waits); for one that is placed, the minutes
between the wished and the planned start, earlier or later. ``whynot`` says what is in the way at the start asked about,
with the rest of the plan as it is; what it names are pairs of a rule and a resource, each taken once. A resource that
is the visit itself (its patient's time, its start off the grid, what is fixed of it) is written ``""``, so that all
visits share it. Nothing is named: nothing is in the way, and the minutes are in no row, but in ``open_min``.

**How it is split.** Evenly over the visit's pairs, in whole minutes: what is left over goes, a minute each, to the
first pairs by rule, in the order of the rules, and resource. So the rows add up to ``left_out_min`` + ``moved_min``.

What is named is in the way at that one start. How much would be gained by more of it is another question (``whatif``).
"""

from collections.abc import Iterable
from dataclasses import dataclass

from solver.masks.waits import offsets_by_wait
from solver.names import RULES, RuleName
from solver.offering.loaded import LoadedPlan
from solver.problem import Day
from solver.report.channels import channel_figures
from solver.schedule import Plan
from solver.visits import Visit
from solver.whynot import whynot_in

ITSELF = ""
"""The resource of what a visit brings with it."""
Pair = tuple[RuleName, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """Minutes that a resource held back by a rule. ``visits``: those that it was named for, at least in part."""

    rule: RuleName
    resource: str
    minutes: int
    visits: int


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldingBack:
    """``rows``: most minutes first; they add up to ``left_out_min`` + ``moved_min``. ``open_min``: nothing in the way.

    ``idle_min`` of the ``service_min`` in which channels were in service they were held by nobody.
    """

    rows: tuple[Row, ...]
    left_out_min: int
    moved_min: int
    open_min: int
    idle_min: int
    service_min: int

    @property
    def total_min(self) -> int:
        return self.left_out_min + self.moved_min


@dataclass(frozen=True, slots=True)
class _Asked:
    """A visit, the start it is asked about, and the minutes that count."""

    visit: Visit
    start: int
    minutes: int
    is_left_out: bool


def holding_back(day: Day, plan: Plan) -> HoldingBack:
    """Raises InputError where the plan is not right for the day."""
    loaded = LoadedPlan(day, plan)
    rows: list[Row] = []
    counted = {True: 0, False: 0}
    nothing = 0
    for asked in _asked(day, plan):
        pairs = _pairs(loaded, asked)
        if not pairs:
            nothing += asked.minutes
            continue
        counted[asked.is_left_out] += asked.minutes
        each, over = divmod(asked.minutes, len(pairs))
        rows += [
            Row(rule=rule, resource=resource, minutes=each + (place < over), visits=1)
            for place, (rule, resource) in enumerate(pairs)
        ]
    channels = channel_figures(day, plan)
    service = sum(channel["in_service_min"] for channel in channels)
    return HoldingBack(
        rows=_ranked(rows),
        left_out_min=counted[True],
        moved_min=counted[False],
        open_min=nothing,
        idle_min=service - sum(channel["held_min"] for channel in channels),
        service_min=service,
    )


def added_up(days: Iterable[HoldingBack]) -> HoldingBack:
    """Many days as one: a rule and a resource that have the same name are the same."""
    known = list(days)
    return HoldingBack(
        rows=_ranked(row for day in known for row in day.rows),
        left_out_min=sum(day.left_out_min for day in known),
        moved_min=sum(day.moved_min for day in known),
        open_min=sum(day.open_min for day in known),
        idle_min=sum(day.idle_min for day in known),
        service_min=sum(day.service_min for day in known),
    )


def _asked(day: Day, plan: Plan) -> list[_Asked]:
    starts = {placed.id: placed.parts[0].start for placed in plan.visits}
    found = []
    for visit in day.visits:
        start = starts.get(visit.id)
        if start is None:
            wanted = _earliest(day, visit) if visit.wish is None else visit.wish
            found.append(_Asked(visit, wanted, visit.minutes, is_left_out=True))
        elif visit.wish not in (None, start):
            found.append(_Asked(visit, visit.wish, abs(start - visit.wish), is_left_out=False))
    return found


def _earliest(day: Day, visit: Visit) -> int:
    """The earliest start that the visit could have if nothing else were in the day."""
    offsets = next(offsets_by_wait(day, visit), None)
    free = sorted(day.visit_free(visit)) or [day.open_interval]
    if offsets is not None:
        length = offsets[-1] + visit.parts[-1].minutes
        for start, end in free:
            first = _on_grid(day, max(start, day.open))
            if first + length <= min(end, day.close):
                return first
    return _on_grid(day, max(free[0].start, day.open))


def _on_grid(day: Day, minute: int) -> int:
    return -(-minute // day.step_min) * day.step_min


def _pairs(loaded: LoadedPlan, asked: _Asked) -> list[Pair]:
    reasons = whynot_in(loaded, asked.visit, asked.start).reasons
    found = {(one.rule, ITSELF if one.resource == asked.visit.id else one.resource) for one in reasons}
    return sorted(found, key=_order)


def _order(pair: Pair) -> tuple[int, str]:
    return RULES.index(pair[0]), pair[1]


def _ranked(rows: Iterable[Row]) -> tuple[Row, ...]:
    """The rows with those of one rule and resource made one, the most minutes first."""
    sums: dict[Pair, tuple[int, int]] = {}
    for row in rows:
        minutes, visits = sums.get((row.rule, row.resource), (0, 0))
        sums[row.rule, row.resource] = minutes + row.minutes, visits + row.visits
    made = (
        Row(rule=rule, resource=resource, minutes=minutes, visits=visits)
        for (rule, resource), (minutes, visits) in sums.items()
    )
    return tuple(sorted(made, key=lambda row: (-row.minutes, _order((row.rule, row.resource)))))
