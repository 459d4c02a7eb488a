"""The exact search: one aim after the other, each made as small as those before it allow, and proved."""

from collections.abc import Callable, Collection, Mapping, Sequence
from typing import NamedTuple

from ortools.sat.python import cp_model

from solver.aims import AIM_CLASSES
from solver.clock import DAY_MIN
from solver.columns.bound import Body
from solver.exact.hinted import Expression
from solver.exact.model import DayModel
from solver.exact.naming import Naming
from solver.exact.solving import TWO_WORKERS_FOR, Limits, accepts, run
from solver.mending import mended
from solver.names import AimName
from solver.problem import Day
from solver.progress import StopRequest
from solver.rules import constrain
from solver.rules.battery import BatteryRule
from solver.schedule import Plan
from solver.verify import verify

MOST_LEARNT_FROM = 6
"""Plans of one call from which the battery is learnt: the last ones, which are the best."""


class Within(NamedTuple):
    """Plans with at most this score of the aim, and the only starts that parts have in such plans."""

    score: int
    starts: Mapping[Body, Collection[int]]


class Stages:
    """An exact model of a day that holds what has been reached so far."""

    def __init__(self, day: Day) -> None:
        self.day = day
        self.model = DayModel(day)
        constrain(self.model)
        self._battery = BatteryRule()
        # No aim counts more for one visit than its priority, or the minutes of a day and a little.
        self._most = sum(visit.priority + 2 * DAY_MIN for visit in day.visits)
        self._totals = {aim: self._total(aim) for aim in day.aims}
        self.work = 0.0

    def _total(self, aim: AimName) -> cp_model.IntVar:
        """The aim's score as a variable: its domain says what is held, and what is known to be the least."""
        total = self.model.integer(f"{aim} in all", 0, self._most, lambda plan: plan.scores[aim])
        self.model.cp.add(total == AIM_CLASSES[aim].minimise(self.model))
        return total

    def hold(self, held: Mapping[AimName, int], aim: AimName, bound: int) -> None:
        """From now on the ``held`` aims have at most these scores, and ``aim``, next, at least ``bound``; no others."""
        for one, total in self._totals.items():
            domain = total.proto.domain
            domain.clear()
            domain.extend([bound if one == aim else 0, held.get(one, self._most)])

    def minimise(
        self,
        aim: AimName,
        best: Plan,
        limits: Callable[[], Limits],
        *,
        on_plan: Callable[[Plan], Plan],
        on_bound: Callable[[int], bool],
        should_stop: StopRequest,
        within: Within | None = None,
        two_workers: Sequence[str] = (),
    ) -> None:
        """Look for plans with less of the aim than ``best``, and for its bound: that there is none is the proof.

        Since the model is asked for better plans only, it must allow ``best`` itself, or what it refuses proves
        nothing: that is asked first. Raises RuntimeError where it does not.

        ``on_plan`` is told every right plan on the way, and answers with the best of all known; ``on_bound`` every
        proved bound, and answers True where that proves the best plan known. The battery is learnt from plans that
        break it, until the best plan keeps it.

        ``within``: what plans are looked for, instead of all that are better; others are better still at no less than
        one more than its score. ``two_workers``: what two do, where it is not what is best for the aim mostly.
        """
        self._only_from({})
        self.model.cp.minimize(self._totals[aim])
        if not accepts(self.model, best):
            raise RuntimeError(f"the exact model refuses the plan that it was given, at the aim {aim}")
        drained: list[Plan] = []
        most, starts = within or Within(self._most, {})

        def take(value: Callable[[Expression], int]) -> None:
            nonlocal best
            found = Naming(self.model, value).plan()
            if self._right(found):
                best = on_plan(found)
                drained.clear()
                return
            drained.append(found)
            spared = mended(self.day, found)
            if not verify(self.day, spared):
                best = on_plan(spared)

        self._only_from(starts)
        while not should_stop():
            self._only_better(aim, min(best.scores[aim], most + 1))
            now = limits()
            if now.seconds <= 0 or (now.work is not None and now.work <= 0):
                break
            answer = run(
                self.model,
                now,
                on_solution=take,
                on_bound=lambda bound: on_bound(min(bound, most + 1)),
                should_stop=should_stop,
                two_workers=two_workers or TWO_WORKERS_FOR[aim],
            )
            self.work += answer.work
            if answer.bound is not None:
                on_bound(min(answer.bound, most + 1))
            if not answer.feasible and answer.proved:
                on_bound(min(best.scores[aim], most + 1))
            if not drained:
                break
            for found in drained[-MOST_LEARNT_FROM:]:
                self._battery.learn(self.model, found)
            drained.clear()

    def _only_from(self, starts: Mapping[Body, Collection[int]]) -> None:
        """Only plans are looked for in which the parts have these starts; parts not named have any."""
        for id, parts in self.model.starts.items():
            for number, start in enumerate(parts):
                domain = start.proto.domain
                domain.clear()
                allowed = starts.get((id, number))
                # A visit that is left out starts at 0.
                values = [0, DAY_MIN] if allowed is None else self.model.domain({0, *allowed}).flattened_intervals()
                domain.extend(values)

    def _only_better(self, aim: AimName, score: int) -> None:
        """Only plans with less of the aim than this are looked for."""
        domain = self._totals[aim].proto.domain
        least = domain[0]
        domain.clear()
        domain.extend([least, max(least, score - 1)])

    def _right(self, plan: Plan) -> bool:
        """True where every rule holds; only the battery is not in the model minute by minute."""
        broken = {breach.rule for breach in verify(self.day, plan)}
        if broken - {"battery"}:
            raise RuntimeError(f"the exact model gave a plan that breaks {sorted(broken)}")
        return not broken
