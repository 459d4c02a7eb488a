"""Solve a day: a first plan at once, better ones by ruin and recreate, proofs and the rest by exact search.

Every plan that leaves here, on the way or at the end, has passed the verifier.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import TYPE_CHECKING

from solver.compose import explained, finished, ledger_of, plan_of
from solver.construct import construct, fill
from solver.errors import NoPlanInTimeError
from solver.improve import Improver
from solver.masks.ledger import Ledger
from solver.names import AimName
from solver.problem import Day
from solver.progress import Progress, ProgressCallback, StopRequest
from solver.schedule import Plan

if TYPE_CHECKING:
    from solver.exact.solving import Limits
    from solver.exact.stages import Stages

IMPROVING_SHARE = 0.25
"""Part of the time that is left which ruin and recreate may use, at first and after each gain of the exact search."""
MANY_VISITS, MOST_OF_IT = 60, 0.85
"""From so many visits on, improving uses most of the time: the exact search then rarely finds more."""
MOST_VISITS = 150
"""Beyond, the exact model would take gigabytes and find nothing: it is not built."""
EXACT_SHARE = 0.6
"""Part of the time that is left which the exact search may use for an aim that is not the last."""
PATIENCE = 12
"""Steps without a better plan, for each visit of the day and the square root of it, before improving stops."""
FEW_VISITS = 12
"""Up to so many visits the exact search proves a day sooner than improving would end."""
NEWS_SECONDS = 0.1
"""Least time between two reports of progress: a plan that is told has its reasons found and is verified first."""
STEPS_PER_SECOND = 30
WORK_PER_SECOND = 0.03
"""With one worker the search counts steps and the solver's own work instead of seconds, so that it can be repeated."""


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

    ``workers``: threads of the exact search; with 1 the same seed gives the same plan, unless the machine is so slow
    that ``seconds`` run out first. ``should_stop`` is asked often; once it says True the best plan so far is returned.
    Raises NoPlanInTimeError where there is no plan yet when time is up and nothing proves that there is none.
    """
    return _Search(day, seconds, seed, workers, on_progress, should_stop or (lambda: False)).run()


class _Search:
    def __init__(
        self,
        day: Day,
        seconds: float,
        seed: int,
        workers: int,
        on_progress: ProgressCallback | None,
        should_stop: StopRequest,
    ) -> None:
        self.day = day
        self.seconds = seconds
        self.seed = seed
        self.workers = workers
        self.should_stop = should_stop
        self.bounds: dict[AimName, int] = dict.fromkeys(day.aims, 0)
        self.best: Plan | None = None
        self.aim: AimName | None = None
        self._explained: tuple[Plan, Plan] | None = None
        self._on_progress = on_progress
        self._began = time.monotonic()
        self._told = -NEWS_SECONDS
        self._untold = False

    def run(self) -> Plan:
        ledger = construct(self.day)
        if ledger is None:
            ledger = self._stand()
            if ledger is None:
                return self._infeasible()
        self._take(plan_of(self.day, ledger.visits, ledger.breaks))
        if len(self.day.visits) > FEW_VISITS:
            self._improve(ledger)
        if not self._proved() and len(self.day.visits) <= MOST_VISITS:
            self._search_exactly()
        assert self.best is not None
        if self.best.left_out:
            self._fill(self.best)
        return self._whole(self.best)

    def _fill(self, plan: Plan) -> None:
        """Whoever still fits comes in, unless an earlier aim would suffer: nobody is left out for want of trying."""
        ledger = ledger_of(self.day, plan)
        fill(ledger)
        self._take(plan_of(self.day, ledger.visits, ledger.breaks))

    @property
    def _repeatable(self) -> bool:
        """One worker: the search is limited by steps and work, which repeat, and by seconds only at the very end."""
        return self.workers == 1

    @property
    def elapsed(self) -> float:
        return time.monotonic() - self._began

    def _out_of_time(self) -> bool:
        return self.elapsed >= self.seconds or self.should_stop()

    def _proved(self) -> bool:
        return self.best is not None and all(self.bounds[aim] == self.best.scores[aim] for aim in self.day.aims)

    def _take(self, plan: Plan) -> Plan:
        """Keep the plan where it is better than the best so far; the best of both."""
        if self.best is None or self._vector(plan) < self._vector(self.best):
            self.best = plan
            self._report()
        return self.best

    def _vector(self, plan: Plan) -> tuple[int, ...]:
        return tuple(plan.scores[aim] for aim in self.day.aims)

    def _raise_bound(self, aim: AimName, bound: int) -> None:
        if bound > self.bounds[aim]:
            self.bounds[aim] = bound
            self._report()

    def _report(self) -> None:
        """Tell the caller how things stand, now or, where that was done just before, at the next occasion."""
        self._untold = True
        if self.elapsed - self._told >= NEWS_SECONDS:
            self._tell()

    def _tell(self) -> None:
        if self._on_progress is None or not self._untold or self.best is None:
            return
        plan = self._whole(self.best)
        self._untold, self._told = False, self.elapsed
        self._on_progress(
            Progress(seconds=self._told, plan=plan, aim=self.aim, scores=plan.scores, bounds=dict(self.bounds))
        )

    def _whole(self, best: Plan) -> Plan:
        """The best plan fit to leave here; its reasons are found once, however often it is told with new bounds."""
        if self._explained is None or self._explained[0] is not best:
            self._explained = (best, explained(self.day, best))
        return finished(self.day, self._explained[1], self.bounds)

    def _stand(self) -> Ledger | None:
        """A ledger with the fixed visits and the breaks placed by the exact model; None where they cannot stand.

        Raises NoPlanInTimeError where that stays open.
        """
        from solver.exact.conflict import must_stand, only
        from solver.exact.standing import Standing

        standing = Standing(only(self.day, *must_stand(self.day)))
        answer = standing.ask(self._limits(1.0), self.should_stop)
        if answer is None:
            raise NoPlanInTimeError(self.seconds)
        if standing.plan is None:
            return None
        ledger = ledger_of(self.day, standing.plan)
        fill(ledger)
        return ledger

    def _infeasible(self) -> Plan:
        from solver.exact.conflict import minimal_conflict
        from solver.exact.solving import Limits

        each = Limits(seconds=max(1.0, self.seconds), workers=self.workers, seed=self.seed)
        conflict = minimal_conflict(self.day, lambda: each)
        return Plan(date=self.day.date, status="infeasible", conflict=conflict)

    def _improve(self, ledger: Ledger) -> None:
        """Ruin and recreate from the plan in the ledger, for a share of the time that is left."""
        improver = Improver(ledger, self.seed)
        visits = len(self.day.visits)
        patience = int(PATIENCE * (visits + visits**0.5))
        most_steps = int(self.seconds * STEPS_PER_SECOND)
        share = IMPROVING_SHARE if visits < MANY_VISITS else MOST_OF_IT if visits <= MOST_VISITS else 1.0
        begun = self.elapsed
        until = begun + share * (self.seconds - begun)
        since = 0

        def spent(steps: int) -> float:
            if self._out_of_time() or (steps - since >= patience and visits <= MOST_VISITS):
                return 1.0
            return steps / most_steps if self._repeatable else (self.elapsed - begun) / (until - begun)

        def note(steps: int) -> None:
            nonlocal since
            since = steps
            self._take(plan_of(self.day, *improver.best))

        improver.run(spent, note)
        self._tell()

    def _search_exactly(self) -> None:
        assert self.best is not None
        if self._out_of_time():
            return
        # Told before OR-Tools is loaded and the model is built, which take seconds.
        self.aim = next(aim for aim in self.day.aims if self.bounds[aim] < self.best.scores[aim])
        self._untold = True
        self._tell()
        from solver.columns.bound import column_bound
        from solver.exact.stages import Stages

        stages = Stages(self.day)
        for number, aim in enumerate(self.day.aims):
            self._tell()
            if self._out_of_time():
                return
            self.aim = aim
            if self.bounds[aim] < self.best.scores[aim]:
                held = {before: self.best.scores[before] for before in self.day.aims[:number]}
                bound = column_bound(self.day, aim, held, self.best.scores[aim], self._out_of_time)
                self._raise_bound(aim, bound)
                stages.expect(aim, bound)
            if self.bounds[aim] < self.best.scores[aim]:
                self._minimise(stages, aim, last=number == len(self.day.aims) - 1)
            stages.hold(aim, self.best.scores[aim])

    def _minimise(self, stages: Stages, aim: AimName, *, last: bool) -> None:
        """The exact search for one aim; what it gains there, ruin and recreate then tries to gain for later aims."""
        before = self.best
        assert before is not None
        stages.minimise(
            aim,
            before,
            self._limits(1.0 if last else EXACT_SHARE, lambda: stages.work),
            on_plan=self._take,
            on_bound=lambda bound: self._raise_bound(aim, bound),
            should_stop=self._out_of_time,
        )
        self._tell()
        if self.best is not before and self.best is not None and not last and len(self.day.visits) > FEW_VISITS:
            self._improve(ledger_of(self.day, self.best))

    def _limits(self, share: float, work: Callable[[], float] = lambda: 0.0) -> Callable[[], Limits]:
        """Limits for a call made now, within ``share`` of what is left when this is asked."""
        from solver.exact.solving import Limits

        until = self.seconds if self._repeatable else self.elapsed + share * (self.seconds - self.elapsed)
        work_until = work() + share * (self.seconds * WORK_PER_SECOND - work())

        def limits() -> Limits:
            left = work_until - work() if self._repeatable else None
            return Limits(seconds=until - self.elapsed, workers=self.workers, seed=self.seed, work=left)

        return limits
