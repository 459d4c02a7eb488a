"""The exact search: one aim after the other, each made as small as those before it allow, and proved."""

from collections.abc import Callable, Mapping

from solver.aims import AIM_CLASSES
from solver.exact.hinted import Expression
from solver.exact.model import DayModel
from solver.exact.naming import Naming
from solver.exact.solving import Limits, run
from solver.names import AimName
from solver.problem import Day
from solver.progress import StopRequest
from solver.rules import constrain
from solver.rules.battery import BatteryRule
from solver.schedule import Plan
from solver.verify import verify


class Stages:
    """An exact model of a day that holds what has been reached so far."""

    def __init__(self, day: Day) -> None:
        self.day = day
        self.model = DayModel(day)
        constrain(self.model)
        self._battery = BatteryRule()
        self._expressions: Mapping[AimName, Expression] = {
            aim: AIM_CLASSES[aim].minimise(self.model) for aim in day.aims
        }
        self.work = 0.0

    def hold(self, aim: AimName, score: int) -> None:
        """From now on the aim's score is at most this."""
        self.model.cp.add(self._expressions[aim] <= score)

    def expect(self, aim: AimName, bound: int) -> None:
        """A bound proved elsewhere: the aim's score is at least this, given the scores held so far."""
        self.model.cp.add(self._expressions[aim] >= bound)

    def minimise(
        self,
        aim: AimName,
        best: Plan,
        limits: Callable[[], Limits],
        *,
        on_plan: Callable[[Plan], Plan],
        on_bound: Callable[[int], None],
        should_stop: StopRequest,
    ) -> None:
        """Look for plans with less of the aim than ``best``, and for its bound.

        ``on_plan`` is told every right plan on the way, and answers with the best of all known; ``on_bound`` every
        proved bound. The battery is learnt from plans that break it, until the best plan keeps it.
        """
        self.model.cp.minimize(self._expressions[aim])
        found: Plan | None = None

        def take(value: Callable[[Expression], int]) -> None:
            nonlocal best, found
            found = Naming(self.model, value).plan()
            if self._right(found):
                best = on_plan(found)

        def note(bound: int) -> bool:
            on_bound(bound)
            return bound >= best.scores[aim]

        while not should_stop():
            self.model.hint(best)
            now = limits()
            if now.seconds <= 0 or (now.work is not None and now.work <= 0):
                break
            answer = run(self.model, now, on_solution=take, on_bound=note, should_stop=should_stop)
            self.work += answer.work
            if answer.bound is not None:
                on_bound(min(answer.bound, best.scores[aim]))
            if not answer.feasible and answer.proved:
                raise RuntimeError(f"the exact model refuses the plan that it was given, at the aim {aim}")
            if found is None or not answer.feasible or not self._battery.learn(self.model, found):
                break

    def _right(self, plan: Plan) -> bool:
        """True where every rule holds; only the battery is not in the model minute by minute."""
        broken = {breach.rule for breach in verify(self.day, plan)}
        if broken - {"battery"}:
            raise RuntimeError(f"the exact model gave a plan that breaks {sorted(broken)}")
        return not broken
