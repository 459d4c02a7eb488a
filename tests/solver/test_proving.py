"""What is looked at when: the first open aim alone on a day of many visits, until what comes before it is another."""

from collections.abc import Mapping
from dataclasses import replace
from itertools import pairwise
from typing import Any, cast

import pytest

from solver import proving
from solver.board import Board
from solver.columns.bound import NO_BOUND, ColumnBound
from solver.compose import plan_of
from solver.construct import construct
from solver.exact.stages import Stages, Within
from solver.masks.ledger import Ledger
from solver.names import AimName
from solver.proving import Proving, _Known
from solver.schedule import Plan
from tests.bench.days import bench_day


def test_of_many_visits_only_the_first_open_aim_is_bounded(monkeypatch: pytest.MonkeyPatch) -> None:
    """Somebody is left out at first: ``placed`` alone is looked at, and ``wish`` once all are in."""
    monkeypatch.setattr(proving, "MOST_VISITS", 5)
    day = bench_day("S", 1)
    board = Board(day, 60.0, None, lambda: False)

    def early(ledger: Ledger) -> None:
        board.take(plan_of(day, ledger.visits, ledger.breaks))

    ledger = construct(day, early)
    assert ledger is not None
    proofs, looked_at = Proving(board, seed=0, workers=2), list[AimName]()
    monkeypatch.setattr(board, "now_at", looked_at.append)
    assert proofs.ready()
    proofs.run()
    assert (looked_at, proofs.ready()) == (["placed"], False)
    board.take(plan_of(day, ledger.visits, ledger.breaks))
    assert proofs.ready()
    proofs.run()
    assert (looked_at, proofs.ready()) == (["placed", "wish"], False)
    assert board.is_open("wish")


def test_plans_at_the_bound_are_looked_for_first_among_few_starts(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each look at the bound asks for no more than one step of the grid, the last one for any better plan."""
    day = bench_day("S", 1)
    board = Board(day, 20.0, None, lambda: False)
    ledger = construct(day)
    assert ledger is not None
    board.take(plan_of(day, ledger.visits, ledger.breaks))
    looks = list[tuple[int, int, Within]]()
    search = Stages.minimise

    def noted(self: Stages, aim: AimName, best: Plan, *more: Any, within: Within, **others: Any) -> None:
        if aim == "wish":
            looks.append((board.bound(aim), best.scores[aim], within))
        search(self, aim, best, *more, within=within, **others)

    monkeypatch.setattr(Stages, "minimise", noted)
    Proving(board, seed=0, workers=2).run()
    assert not board.open_aims()
    bound, score, within = looks[0]
    assert bound < score
    assert within.score == bound + day.step_min - 1
    assert sum(len(starts) <= 3 for starts in within.starts.values()) > len(within.starts) / 2
    assert all(later.score > before.score for (_, _, before), (_, _, later) in pairwise(looks))


class _Recorder:
    """Stands for the exact search. During its first call a better plan comes from elsewhere."""

    work = 0.0

    def __init__(self, board: Board, better: Plan) -> None:
        self.board = board
        self.better = better
        self.calls = 0
        self.held: Mapping[AimName, int] = {}

    def hold(self, held: Mapping[AimName, int], aim: AimName, bound: int) -> None:
        self.held = held

    def minimise(self, aim: AimName, best: Plan, limits: object, **more: object) -> None:
        assert all(best.scores[before] <= score for before, score in self.held.items())
        self.calls += 1
        self.board.take(self.better)


def test_a_plan_from_elsewhere_with_more_of_what_is_held_ends_the_look_at_an_aim() -> None:
    """Less is left out, but patients are moved more: the model that holds ``stable`` would refuse such a plan."""
    day = bench_day("S", 1)
    board = Board(day, 20.0, None, lambda: False)
    ledger = construct(day)
    assert ledger is not None
    plan = plan_of(day, ledger.visits, ledger.breaks)
    board.take(replace(plan, scores={**plan.scores, "placed": 1, "stable": 5, "wish": 50}))
    better = replace(plan, scores={**plan.scores, "placed": 0, "stable": 9, "wish": 60})
    proofs, stages = Proving(board, seed=0, workers=2), _Recorder(board, better)
    proofs._stages = cast("Stages", stages)
    proofs._known["wish"] = _Known(NO_BOUND, 50, {"placed": 1, "stable": 5})
    proofs._minimise("wish")
    assert (stages.calls, board.best) == (1, better)


def test_a_bound_is_left_once_a_plan_settles_its_aim(monkeypatch: pytest.MonkeyPatch) -> None:
    """Somebody was left out as it began; meanwhile all are in."""
    day = bench_day("S", 1)
    board = Board(day, 60.0, None, lambda: False)
    ledger = construct(day)
    assert ledger is not None
    best = plan_of(day, ledger.visits, ledger.breaks)
    board.take(replace(best, scores={**best.scores, "placed": 1}))
    asked: list[bool] = []

    def bound(*args: Any, **kwargs: Any) -> ColumnBound:
        should_stop = args[4]
        asked.append(should_stop())
        board.take(best)
        asked.append(should_stop())
        return NO_BOUND

    monkeypatch.setattr("solver.columns.bound.column_bound", bound)
    Proving(board, seed=0, workers=2)._bound("placed")
    assert best.scores["placed"] == 0
    assert asked == [False, True]
