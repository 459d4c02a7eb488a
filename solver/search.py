"""Solve a day: a first plan at once, better ones by ruin and recreate, bounds and proofs beside it.

Every plan that leaves here, on the way or at the end, has passed the verifier.
"""

from __future__ import annotations

import time
from typing import TYPE_CHECKING, TypeVar

from solver.annealing import Proved
from solver.apart import Apart
from solver.beside import Team
from solver.board import Board
from solver.compose import ledger_of, plan_of
from solver.construct import construct, fill
from solver.errors import NoPlanInTimeError
from solver.improve import Improver
from solver.masks.ledger import Ledger
from solver.problem import Day
from solver.progress import ProgressCallback, StopRequest
from solver.proving import MOST_VISITS, Proving
from solver.schedule import Plan

if TYPE_CHECKING:
    from collections.abc import Callable

    from solver.exact.standing import Standing

FEW_VISITS = 12
"""Up to so many visits a day is proved sooner than improving would end."""
MANY_VISITS = 25
"""With fewer visits the proofs may soon end by themselves, and sooner with both processors."""
FIRST_PROOFS_SHARE = 0.15
"""Part of the time that they have to themselves then,"""
FIRST_PROOFS_SECONDS = 1.0
"""at most so long."""
SHARE_HERE = 0.25
"""Part of the time for improving where it is not in a process of its own."""
SHARE_BESIDE = 0.9
"""Part of the time over which improving beside the proofs cools down."""
START_SECONDS = 0.5
"""What a process takes to start: so much earlier it ends, where nothing else is left to do after it."""
MOST_TOGETHER = 4
"""Processes that improve one plan; the zones of more would be narrow."""
PATIENCE = 40
"""Steps without a better plan, for each visit of the day, after which improving ends there."""
STEPS_PER_SECOND = 30
"""With one worker steps are counted instead of seconds, so that a search can be repeated."""
POLL_SECONDS = 0.02
Result = TypeVar("Result")


def solve(
    day: Day,
    *,
    seconds: float = 20.0,
    seed: int = 0,
    workers: int = 2,
    on_progress: ProgressCallback | None = None,
    should_stop: StopRequest | None = None,
) -> Plan:
    """The best plan of the day found in time, ``optimal`` where every aim is proved, ``infeasible`` with a conflict.

    ``workers``: threads of the exact search, and on a large day processes that improve; with 1 nothing runs beside it,
    and the same seed gives the same plan unless the machine is so slow that ``seconds`` run out first. ``should_stop``
    is asked often, from other threads too; once it says True the best plan so far is returned, at once.
    Raises NoPlanInTimeError where there is no plan yet when time is up and nothing proves that there is none.
    """
    board = Board(day, seconds, on_progress, should_stop or (lambda: False))
    return _Search(board, seed, workers).run()


class _Search:
    def __init__(self, board: Board, seed: int, workers: int) -> None:
        self.board = board
        self.day = board.day
        self.seed = seed
        self.workers = workers

    def run(self) -> Plan:
        ledger = construct(self.day, self._tell_of)
        if ledger is None:
            ledger = self._stand()
            if ledger is None:
                return self._infeasible()
        self._tell_of(ledger)
        if self.workers == 1:
            if len(self.day.visits) > FEW_VISITS:
                self._improve_here(ledger)
            Proving(self.board, self.seed, workers=1).run()
        elif self.board.open_aims():
            self._prove_beside()
        if self.board.best.left_out:
            self._fill()
        return self.board.whole()

    def _tell_of(self, ledger: Ledger) -> None:
        self.board.take(plan_of(self.day, ledger.visits, ledger.breaks))
        self.board.tell(at_once=True)

    def _fill(self) -> None:
        """Whoever still fits comes in, unless an earlier aim would suffer: nobody is left out for want of trying."""
        ledger = ledger_of(self.day, self.board.best)
        fill(ledger)
        self.board.take(plan_of(self.day, ledger.visits, ledger.breaks))

    def _improve_here(self, ledger: Ledger) -> None:
        """Ruin and recreate until it gains no more, or its share of the time is over, counted in steps."""
        board, improver, idle = self.board, Improver(ledger, self.seed), 0
        most = int(SHARE_HERE * STEPS_PER_SECOND * board.seconds)
        for step in range(most):
            if idle == PATIENCE * len(self.day.visits) or not board.open_aims() or board.over():
                break
            idle += 1
            if improver.step(step / most):
                idle = 0
                board.take(plan_of(self.day, *improver.best))
            board.tell()

    def _prove_beside(self) -> None:
        """Bounds and proofs in a thread, so that this one can leave at once; improving in processes."""
        board = self.board
        proofs = Proving(board, self.seed, self.workers)
        proving = Apart(proofs.run)
        team, alone_until = self._team(0), self._alone_until()
        known, proved = board.best, 0
        try:
            while board.open_aims() and not board.over():
                if alone_until is not None and (board.elapsed >= alone_until or proving.done()):
                    team, alone_until, known, proved = self._team(self._members()), None, board.best, 0
                improving = team.improves()
                if proving.done(within=POLL_SECONDS):
                    proving.result()
                    if improving and proofs.ready():
                        proving = Apart(proofs.run)
                    time.sleep(POLL_SECONDS if improving else 0)
                if board.best is not known:
                    known = board.best
                    team.tell(known)
                if board.proved != proved:
                    proved = board.proved
                    team.tell(Proved(proved))
                for plan in team.better_plans():
                    if board.take(plan) is plan:
                        known = plan
                board.tell()
                if proving.done() and not improving:
                    break
            for plan in team.better_plans():
                board.take(plan)
        finally:
            team.end()
        if proving.done():
            proving.result()

    def _alone_until(self) -> float | None:
        """From when on processes improve beside the proofs; None where they never do."""
        visits, seconds = len(self.day.visits), self.board.seconds
        if visits <= FEW_VISITS:
            return None
        return 0.0 if visits >= MANY_VISITS else min(FIRST_PROOFS_SHARE * seconds, FIRST_PROOFS_SECONDS)

    def _members(self) -> int:
        return 1 if len(self.day.visits) <= MOST_VISITS else min(self.workers, MOST_TOGETHER)

    def _team(self, members: int) -> Team:
        """So many processes that begin to improve the best plan now, until nearly all the time is over."""
        board, many = self.board, len(self.day.visits) > MOST_VISITS
        seconds = board.left - START_SECONDS if many else SHARE_BESIDE * board.left
        return Team(self.day, board.best, self.seed, seconds, members)

    def _stand(self) -> Ledger | None:
        """A ledger with the fixed visits and the breaks placed by the exact model; None where they cannot stand.

        Raises NoPlanInTimeError where that stays open.
        """
        standing = self._waited_for(self._asked)
        if standing is None:
            raise NoPlanInTimeError(self.board.seconds)
        if standing.plan is None:
            return None
        ledger = ledger_of(self.day, standing.plan)
        fill(ledger)
        return ledger

    def _asked(self) -> Standing | None:
        """The question answered; None where it stays open."""
        from solver.exact.conflict import must_stand, only
        from solver.exact.solving import Limits
        from solver.exact.standing import Standing

        standing = Standing(only(self.day, *must_stand(self.day)))
        answer = standing.ask(
            lambda: Limits(seconds=self.board.left, workers=self.workers, seed=self.seed), self.board.over
        )
        return None if answer is None else standing

    def _waited_for(self, task: Callable[[], Result | None]) -> Result | None:
        """What the task comes to in a thread of its own; None where the board is over before."""
        apart = Apart(task)
        while not apart.done(within=POLL_SECONDS):
            if self.board.over():
                return None
        return apart.result()

    def _infeasible(self) -> Plan:
        from solver.exact.conflict import minimal_conflict
        from solver.exact.solving import Limits

        each = Limits(seconds=max(1.0, self.board.seconds), workers=self.workers, seed=self.seed)
        conflict = minimal_conflict(self.day, lambda: each)
        return Plan(date=self.day.date, status="infeasible", conflict=conflict)
