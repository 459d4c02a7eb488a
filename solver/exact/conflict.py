"""Why the fixed visits and the breaks of a day cannot all stand: a minimal set of them, and the rules that forbid it.

By taking away one after the other and keeping out whatever the rest cannot stand without (deletion filter: Chinneck &
Dravnieks, "Locating minimal infeasible constraint sets in linear programs", ORSA Journal on Computing 3, 1991).
"""

from collections.abc import Callable, Sequence
from dataclasses import replace

from solver.exact.solving import Limits
from solver.exact.standing import Standing
from solver.impossible import impossible
from solver.names import RULES, RuleName
from solver.problem import Day
from solver.schedule import Clash

BREAK_RULES: tuple[RuleName, ...] = ("grid", "hours", "hands", "watch", "break")
"""The rules that a member's breaks can run into."""


def only(day: Day, visits: Sequence[str], staff: Sequence[str]) -> Day:
    """The day with these visits and with the breaks of these staff members, all others left away."""
    return replace(
        day,
        visits=tuple(visit for visit in day.visits if visit.id in visits),
        staff=tuple(member if member.id in staff else replace(member, breaks=()) for member in day.staff),
    )


def must_stand(day: Day) -> tuple[list[str], list[str]]:
    """The ids of the fixed visits, and of the staff with breaks."""
    fixed = [visit.id for visit in day.visits if visit.fixed is not None]
    return fixed, [member.id for member in day.staff if member.breaks]


def minimal_conflict(day: Day, limits: Callable[[], Limits]) -> tuple[Clash, ...]:
    """A minimal set of fixed visits and staff with breaks that cannot stand together, given that all cannot.

    A set whose question is not answered in time is taken to stand, so that the set named is surely in conflict.
    """
    visits, staff = must_stand(day)
    for id in list(visits):
        fewer = [other for other in visits if other != id]
        if _falls(only(day, fewer, staff), (), limits):
            visits = fewer
    for id in list(staff):
        fewer = [other for other in staff if other != id]
        if _falls(only(day, visits, fewer), (), limits):
            staff = fewer
    never = [(visit, tuple(reason.rule for reason in impossible(day, visit))) for visit in day.visits]
    alone = next((Clash(id=visit.id, rules=rules) for visit, rules in never if visit.id in visits and rules), None)
    if alone is not None:
        return (alone,)
    smallest = only(day, visits, staff)
    without: tuple[RuleName, ...] = ()
    for rule in RULES:
        if _falls(smallest, (*without, rule), limits):
            without = (*without, rule)
    rules = tuple(rule for rule in RULES if rule not in without)
    of_breaks = tuple(rule for rule in rules if rule in BREAK_RULES) or rules
    return (
        *(Clash(id=id, rules=rules) for id in visits),
        *(Clash(id=id, rules=of_breaks) for id in staff),
    )


def _falls(day: Day, without: Sequence[RuleName], limits: Callable[[], Limits]) -> bool:
    return Standing(day, without).ask(limits) is False
