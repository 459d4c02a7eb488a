"""Processes that improve one plan, and what they hear of each other."""

import time

import pytest

from solver import beside
from solver.annealing import FromFellow, Heard, Task
from solver.beside import Team
from solver.changes import Change
from solver.schedule import Plan
from solver.verify import verify
from tests.solver.first_plans import planned


def test_two_improve_a_plan_and_end_by_themselves() -> None:
    day, plan = planned("M", 2)
    team = Team(day, plan, 0, 2.0, 2)
    try:
        found: list[Plan] = []
        until = time.monotonic() + 30
        while team.improves() and time.monotonic() < until:
            found += team.better_plans()
            time.sleep(0.02)
        found += team.better_plans()
        assert not team.improves()
    finally:
        team.end()
    assert min(other.scores["wish"] for other in found) < plan.scores["wish"]
    assert not any(verify(day, other) for other in found)


class Told:
    """In place of a process: what it is told, and one piece of news of its own."""

    def __init__(self, task: Task) -> None:
        self.task = task
        self.heard: list[Heard] = []

    def news(self) -> list[Change]:
        moved = self.task.plan.visits[self.task.member]
        return [Change({moved.id: moved}, {})]

    def tell(self, heard: Heard) -> None:
        self.heard.append(heard)


def test_each_hears_of_the_others_and_all_of_plans_from_elsewhere(monkeypatch: pytest.MonkeyPatch) -> None:
    members: list[Told] = []

    def made(task: Task) -> Told:
        members.append(Told(task))
        return members[-1]

    monkeypatch.setattr(beside, "Beside", made)
    day, plan = planned("M", 2)
    team = Team(day, plan, 0, 2.0, 3)
    assert len(list(team.better_plans())) == 3
    team.tell(plan)
    for member in members:
        *fellows, last = member.heard
        assert last is plan
        assert fellows == [FromFellow(other.task.member, *other.news()) for other in members if other is not member]
