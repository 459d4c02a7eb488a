"""Right plans of small days, drawn and not solved: visits are put in one after the other where the verifier allows."""

from dataclasses import replace

from hypothesis import strategies as st

from solver.names import RULES
from solver.problem import Day
from solver.schedule import PlacedBreak, PlacedVisit, Plan
from solver.verify import verify
from tests.builders import a_plan
from tests.solver.every_choice import break_placings, part_placings, visit_placings
from tests.solver.small_days import small_days

TRIES = 12


@st.composite
def right_plans(draw: st.DrawFn) -> tuple[Day, Plan]:
    """A small day in which nothing is fixed, and a plan of it that breaks no rule but that breaks may overlap."""
    drawn = draw(small_days())
    day = replace(drawn, visits=tuple(replace(visit, fixed=None) for visit in drawn.visits))
    breaks: list[PlacedBreak] = []
    for member in day.staff:
        taken = list(break_placings(day, member.id, member.breaks))
        breaks += draw(st.sampled_from(taken)) if taken else ()
    placed: list[PlacedVisit] = []
    for visit in day.visits:
        parts = [list(part_placings(day, part)) for part in visit.parts]
        choices = list(visit_placings(visit, parts))
        for _ in range(min(TRIES, len(choices))):
            choice = draw(st.sampled_from(choices))
            if _right(day, [*placed, choice], breaks):
                placed.append(choice)
                break
    return day, a_plan(day, *placed, breaks=breaks)


def _right(day: Day, placed: list[PlacedVisit], breaks: list[PlacedBreak]) -> bool:
    """True where no rule is broken; whether the breaks themselves are right is no matter here."""
    broken = {breach.rule for breach in verify(day, a_plan(day, *placed, breaks=breaks))}
    return not broken & (set(RULES) - {"break"})
