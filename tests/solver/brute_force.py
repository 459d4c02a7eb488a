"""The best scores of a tiny day, found by trying everything; the verifier alone says what is right.

Nothing of the solver is used. Two short cuts, both taken with the verifier itself on the day cut down to what is being
looked at: a choice that is wrong with nothing else in the day, and two choices that are wrong together, are wrong in
every plan. That holds for every rule but `battery` (a stay of another visit can move a charge to a later, better time),
so `battery` is judged on whole plans only.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import product

from solver.names import AimName
from solver.problem import Day
from solver.schedule import LeftOut, PlacedBreak, PlacedVisit, Plan, Reason
from solver.verify import RULES, verify
from solver.visits import Fixed, Visit
from tests.solver.every_choice import Placing, break_placings, part_placings, visit_placings

Costs = tuple[int, ...]
"""What one choice adds to each of the day's aims, in their order (for `finish`: what it may raise it to)."""


@dataclass(frozen=True, slots=True, eq=False)
class Choice:
    """One way to settle a visit (placed, or left out) or the breaks of one staff member."""

    subject: str
    costs: Costs
    placed: PlacedVisit | None = None
    breaks: tuple[PlacedBreak, ...] = ()


def best_scores(day: Day, without: frozenset[str] = frozenset()) -> dict[AimName, int] | None:
    """The best score of each aim, in the day's order; None where the fixed visits and breaks cannot all stand.

    ``without`` names rules that are not looked at, to learn whether they matter on this day.
    """
    return _Trial(day, without).best()


class _Trial:
    def __init__(self, day: Day, without: frozenset[str]) -> None:
        self.day = day
        self.rules = [rule for rule in RULES if rule.name not in without]
        self._days: dict[tuple[str, ...], Day] = {}
        self._together: dict[tuple[int, int], bool] = {}

    def best(self) -> dict[AimName, int] | None:
        if not all(self.subjects):
            return None
        groups = [_by_costs(choices) for choices in self.subjects]
        combined = sorted((self._sum(costs), costs) for costs in product(*groups))
        for scores, costs in combined:
            chosen = [group[cost] for group, cost in zip(groups, costs, strict=True)]
            if any(self._right_plan(plan, scores) for plan in self._compatible(chosen, ())):
                return dict(zip(self.day.aims, scores, strict=True))
        return None

    @cached_property
    def subjects(self) -> list[list[Choice]]:
        """The choices of every visit and of every member with breaks, each right when alone in the day."""
        visits = [self._visit_choices(visit) for visit in self.day.visits]
        nothing = (0,) * len(self.day.aims)
        breaks = [
            [
                choice
                for placed in break_placings(self.day, member.id, member.breaks)
                if self._right([choice := Choice(subject=f"staff {member.id}", costs=nothing, breaks=placed)])
            ]
            for member in self.day.staff
            if member.breaks
        ]
        return sorted(breaks + visits, key=len)

    def _visit_choices(self, visit: Visit) -> list[Choice]:
        parts = [self._part_choices(visit, index) for index in range(len(visit.parts))]
        choices = [
            choice
            for placed in visit_placings(visit, parts)
            if self._right([choice := Choice(f"visit {visit.id}", self._costs(visit, placed), placed)])
        ]
        if visit.fixed is None:
            choices.append(Choice(f"visit {visit.id}", self._costs(visit, None)))
        return choices

    def _part_choices(self, visit: Visit, index: int) -> list[Placing]:
        """The placings of a part that are right as its visit's only part; all of them where it is the only one."""
        part = visit.parts[index]
        placings = list(part_placings(self.day, part))
        if len(visit.parts) == 1:
            return placings
        fixed = None if visit.fixed is None else Fixed(parts=(visit.fixed_part(index),))
        day = replace(self._cut_down(()), visits=(replace(visit, parts=(part,), fixed=fixed),))

        def right(placing: Placing) -> bool:
            placed = PlacedVisit(id=visit.id, therapist=placing[1], parts=(placing[0],))
            return self._keeps_rules(day, [Choice(f"visit {visit.id}", (), placed)])

        return [placing for placing in placings if right(placing)]

    def _right(self, choices: Sequence[Choice]) -> bool:
        """True where the choices break no rule but `battery` on a day with nothing else in it."""
        return self._keeps_rules(self._cut_down(tuple(choice.subject for choice in choices)), choices)

    def _keeps_rules(self, day: Day, choices: Sequence[Choice]) -> bool:
        plan = _plan(day, choices)
        return not any(True for rule in self.rules for _ in rule.check(day, plan))

    def _cut_down(self, subjects: tuple[str, ...]) -> Day:
        if subjects not in self._days:
            self._days[subjects] = replace(
                self.day,
                units=tuple(replace(unit, battery=None) for unit in self.day.units),
                visits=tuple(visit for visit in self.day.visits if f"visit {visit.id}" in subjects),
                staff=tuple(
                    member if f"staff {member.id}" in subjects else replace(member, breaks=())
                    for member in self.day.staff
                ),
            )
        return self._days[subjects]

    def _compatible(
        self, groups: Sequence[Sequence[Choice]], chosen: tuple[Choice, ...]
    ) -> Iterator[tuple[Choice, ...]]:
        """Every way to take one choice of each group with no two wrong together."""
        if len(chosen) == len(groups):
            yield chosen
            return
        for choice in groups[len(chosen)]:
            if all(self._pair(other, choice) for other in chosen):
                yield from self._compatible(groups, (*chosen, choice))

    def _pair(self, one: Choice, other: Choice) -> bool:
        if (one.placed is None and not one.breaks) or (other.placed is None and not other.breaks):
            return True
        if one.breaks and other.breaks:
            return True
        key = (id(one), id(other))
        if key not in self._together:
            self._together[key] = self._right([one, other])
        return self._together[key]

    def _right_plan(self, choices: Sequence[Choice], scores: Costs) -> bool:
        if not self._keeps_rules(self.day, choices):
            return False
        if len(self.rules) == len(RULES):
            plan = replace(_plan(self.day, choices), scores=dict(zip(self.day.aims, scores, strict=True)))
            assert verify(self.day, plan) == []
        return True

    def _costs(self, visit: Visit, placed: PlacedVisit | None) -> Costs:
        return tuple(_cost(self.day, visit, placed, aim) for aim in self.day.aims)

    def _sum(self, costs: Sequence[Costs]) -> Costs:
        return tuple(
            max(each[i] for each in costs) if aim == "finish" else sum(each[i] for each in costs)
            for i, aim in enumerate(self.day.aims)
        )


def _by_costs(choices: Sequence[Choice]) -> dict[Costs, list[Choice]]:
    groups: dict[Costs, list[Choice]] = {}
    for choice in choices:
        groups.setdefault(choice.costs, []).append(choice)
    return groups


def _plan(day: Day, choices: Sequence[Choice]) -> Plan:
    placed = tuple(choice.placed for choice in choices if choice.placed is not None)
    ids = {each.id for each in placed}
    reason = (Reason(rule="patient", text="not looked at here"),)
    return Plan(
        date=day.date,
        status="feasible",
        visits=placed,
        left_out=tuple(LeftOut(id=visit.id, reasons=reason) for visit in day.visits if visit.id not in ids),
        breaks=tuple(each for choice in choices for each in choice.breaks),
        bounds=dict.fromkeys(day.aims, 0),
    )


def _cost(day: Day, visit: Visit, placed: PlacedVisit | None, aim: AimName) -> int:
    if placed is None:
        return visit.priority if aim == "placed" else 0
    begin = placed.parts[0].start
    ends = [part.minutes + each.start for part, each in zip(visit.parts, placed.parts, strict=True)]
    if aim == "wish":
        return 0 if visit.wish is None else abs(visit.wish - begin)
    if aim == "therapist":
        return int(placed.therapist is not None and visit.therapist_wish not in (None, placed.therapist))
    if aim == "wait":
        return sum(after.start - end for end, after in zip(ends, placed.parts[1:], strict=False))
    if aim == "finish":
        return max(ends) - day.open
    if aim == "stable" and (told := _told(day, visit)) is not None:
        other = (told.parts[0].unit != placed.parts[0].unit) + (told.therapist != placed.therapist)
        return abs(told.parts[0].start - begin) + 10 * other
    return 0


def _told(day: Day, visit: Visit) -> PlacedVisit | None:
    return next((each for each in day.published if each.id == visit.id), None)
