"""A rule at its boundary: a plan that keeps it to the minute, and the nearest one that breaks it and nothing else."""

from dataclasses import dataclass

from solver.names import RuleName
from solver.problem import Day
from solver.schedule import Plan
from solver.verify import verify


@dataclass(frozen=True, slots=True)
class BoundaryCase:
    rule: RuleName
    name: str
    day: Day
    kept: Plan
    broken: Plan

    def __str__(self) -> str:
        return f"{self.rule}: {self.name}"


def assert_boundary(case: BoundaryCase) -> None:
    """``kept`` breaks no rule; ``broken`` breaks the case's rule, alone, and is told about in one line or more."""
    assert [str(breach) for breach in verify(case.day, case.kept)] == []
    assert rules_broken(case.day, case.broken) == {case.rule}


def rules_broken(day: Day, plan: Plan) -> set[str]:
    return {breach.rule for breach in verify(day, plan)}
