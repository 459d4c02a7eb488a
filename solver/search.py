"""Solve a day: a first plan at once, better ones by ruin and recreate, bounds and proofs beside it.

Every plan that leaves here, on the way or at the end, has passed the verifier.
"""

from __future__ import annotations

import time
from typing import TYPE_CHECKING, TypeVar

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
"""From so many visits on improving goes on all the time, in a process of its own; with fewer it soon gains no more."""
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
FIRST_PROOFS_SHARE = 0.15
"""Part of the time from which improving begins in the same process, if the proofs, which it slows down, have not ended
by then."""
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
                self._improve_here(ledger, since=0.0)
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

    def _improve_here(self, ledger: Ledger, *, since: float) -> None:
        """Ruin and recreate until it gains no more, or its share of the time is over, counted from ``since`` on.

        Begun anew where the proofs find a better plan, or have proved the aim that was worked at.
        """
        board, repeatable = self.board, self.workers == 1
        improver, idle, steps, seed = Improver(ledger, self.seed), 0, 0, self.seed
        while idle < PATIENCE * len(self.day.visits) and not board.over():
            open_aims = board.open_aims()
            spent = ((steps / STEPS_PER_SECOND if repeatable else board.elapsed) / board.seconds - since) / SHARE_HERE
            if not open_aims or spent >= 1.0:
                break
            proved = self.day.aims.index(open_aims[0])
            if board.vector < improver.best_scores or proved > improver.proved:
                seed, idle = seed + 1, 0
                improver = Improver(ledger_of(self.day, board.best), seed)
                improver.proved = proved
            steps, idle = steps + 1, idle + 1
            if improver.step(spent):
                idle = 0
                board.take(plan_of(self.day, *improver.best))
            board.tell()

    def _prove_beside(self) -> None:
        """Bounds and proofs in a thread, so that this one can leave at once; improving here, or in a process."""
        board, visits = self.board, len(self.day.visits)
        proofs = Proving(board, self.seed, self.workers)
        proving = Apart(proofs.run)
        improves_here = FEW_VISITS < visits < MANY_VISITS
        count = 0 if visits < MANY_VISITS else 1 if visits <= MOST_VISITS else min(self.workers, MOST_TOGETHER)
        seconds = SHARE_BESIDE * board.left if visits <= MOST_VISITS else board.left - START_SECONDS
        team = Team(self.day, board.best, self.seed, seconds, count)
        known = board.best
        try:
            while board.open_aims() and not board.over():
                if improves_here and board.elapsed > FIRST_PROOFS_SHARE * board.seconds:
                    self._improve_here(ledger_of(self.day, board.best), since=FIRST_PROOFS_SHARE)
                    improves_here = False
                improving = team.improves()
                if proving.done(within=POLL_SECONDS):
                    proving.result()
                    if improving and proofs.ready():
                        proving = Apart(proofs.run)
                    time.sleep(POLL_SECONDS if improving else 0)
                if board.best is not known:
                    known = board.best
                    team.tell(known)
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
