"""What is looked at when: the first open aim alone on a day of many visits, until what comes before it is another."""

import pytest

from solver import proving
from solver.board import Board
from solver.compose import plan_of
from solver.construct import construct
from solver.masks.ledger import Ledger
from solver.names import AimName
from solver.proving import Proving
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
