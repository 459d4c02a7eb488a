"""What the board keeps and tells: the best plan, and bounds as long as they count."""

import time
from collections.abc import Mapping

from solver.board import NEWS_SHARE, Board
from solver.compose import plan_of
from solver.construct import construct
from solver.names import AimName
from solver.problem import Day
from solver.progress import Progress
from solver.schedule import LeftOut, Plan, Reason
from tests.builders import a_day, a_visit

AIMS: tuple[AimName, ...] = ("placed", "wish", "wait")


def the_day() -> Day:
    return a_day(a_visit(id="V1"), aims=AIMS)


def a_scored_plan(placed: int, wish: int, wait: int) -> Plan:
    """Only its scores matter here; it leaves its one visit out."""
    day = the_day()
    left = (LeftOut(id="V1", reasons=(Reason(rule="hours", text="for the test"),)),)
    scores: Mapping[AimName, int] = {"placed": placed, "wish": wish, "wait": wait}
    return Plan(date=day.date, status="feasible", left_out=left, scores=scores, bounds=dict.fromkeys(AIMS, 0))


def a_board(*plans: Plan, told: list[Progress] | None = None) -> Board:
    board = Board(the_day(), 60.0, None if told is None else told.append, lambda: False)
    for plan in plans:
        board.take(plan)
    return board


def test_only_a_better_plan_takes_the_place_of_the_best() -> None:
    better, worse = a_scored_plan(0, 30, 9), a_scored_plan(0, 40, 0)
    board = a_board(worse, better, worse)
    assert board.best is better


def test_the_aims_that_are_proved_are_counted_up_to_the_first_open_one() -> None:
    board = a_board(a_scored_plan(2, 30, 9))
    assert board.proved == 0
    board.raise_bound("wish", 30, {"placed": 2})
    assert board.proved == 0
    board.raise_bound("placed", 2, {})
    assert board.proved == 2
    board.take(a_scored_plan(2, 30, 0))
    assert board.proved == 3


def test_telling_takes_a_part_of_the_time_only() -> None:
    """Each plan takes 20 ms to make whole here, so there is one in 200 ms; what is told at once is not late for it."""
    told: list[Progress] = []

    class Slow(Board):
        def whole(self, *, to_come: bool = False) -> Plan:
            time.sleep(0.02)
            return self.best

    board = Slow(the_day(), 60.0, told.append, lambda: False)
    for wish in range(1000, 0, -1):
        board.take(a_scored_plan(0, wish, 9))
        board.tell()
        time.sleep(0.001)
    taken = board.elapsed
    assert 1 <= len(told) <= 1 + taken / (0.02 / NEWS_SHARE)
    board.take(a_scored_plan(0, 0, 9))
    board.tell(at_once=True)
    assert told[-1].scores["wish"] == 0


def test_a_bound_proves_an_aim_and_only_rises() -> None:
    board = a_board(a_scored_plan(0, 30, 9))
    held: Mapping[AimName, int] = {"placed": 0}
    assert not board.raise_bound("wish", 20, held)
    assert not board.raise_bound("wish", 10, held)
    assert board.bound("wish") == 20
    assert board.raise_bound("wish", 30, held)
    assert board.open_aims() == ["wait"]


def test_a_bound_is_never_above_the_score() -> None:
    board = a_board(a_scored_plan(0, 30, 9))
    board.raise_bound("wish", 50, {"placed": 0})
    assert board.bound("wish") == 30


def test_a_bound_counts_while_what_was_held_for_it_holds() -> None:
    """``wait`` is at least 8 while ``wish`` is at most 30: with a wish of 20 too, with one of 35 who knows."""
    board = a_board(a_scored_plan(1, 30, 9))
    board.raise_bound("wait", 8, {"placed": 1, "wish": 30})
    board.take(a_scored_plan(1, 20, 9))
    assert board.bound("wait") == 8
    board.take(a_scored_plan(0, 35, 9))
    assert board.bound("wait") == 0
    board.raise_bound("wait", 2, {"placed": 0, "wish": 35})
    assert board.bound("wait") == 2


def test_a_bound_after_an_open_aim_is_told_once_that_is_proved() -> None:
    """Until then it may cease to count, and what is told never falls back."""
    day = a_day(a_visit(wish="09:00", free="10:00-11:00"), aims=["placed", "wish", "finish"])
    ledger = construct(day)
    assert ledger is not None
    told: list[Progress] = []
    board = Board(day, 60.0, told.append, lambda: False)
    best = board.take(plan_of(day, ledger.visits, ledger.breaks))
    held: Mapping[AimName, int] = {"placed": 0, "wish": best.scores["wish"]}
    assert best.scores["wish"] == 60
    board.raise_bound("finish", 70, held)
    board.tell(at_once=True)
    assert dict(told[-1].bounds) == {"placed": 0, "wish": 0, "finish": 0}
    board.raise_bound("wish", 60, {"placed": 0})
    board.tell(at_once=True)
    assert dict(told[-1].bounds) == {"placed": 0, "wish": 60, "finish": 70}
    assert dict(board.whole().bounds) == dict(told[-1].bounds)
