"""Whether all visits and breaks of a day can stand together."""

from collections.abc import Callable, Collection

from solver.exact.hinted import Expression
from solver.exact.model import DayModel
from solver.exact.naming import Naming
from solver.exact.solving import Limits, run
from solver.names import RuleName
from solver.problem import Day
from solver.progress import StopRequest
from solver.rules import constrain
from solver.rules.battery import BatteryRule
from solver.schedule import Plan


class Standing:
    """Asks the exact model whether every visit of a day can be placed, with all its breaks and without some rules."""

    def __init__(self, day: Day, without: Collection[RuleName] = ()) -> None:
        self.day = day
        self.model = DayModel(day, without)
        constrain(self.model)
        for present in self.model.present.values():
            self.model.cp.add(present == 1)
        self.plan: Plan | None = None

    def ask(self, limits: Callable[[], Limits], should_stop: StopRequest = lambda: False) -> bool | None:
        """True with ``plan`` where they can (a plan only where no rule is left out); False where not; None: stopped."""
        battery = BatteryRule()
        while not should_stop():
            found: Plan | None = None

            def take(value: Callable[[Expression], int]) -> None:
                nonlocal found
                naming = Naming(self.model, value)
                found = naming.sketch() if self.model.without else naming.plan()

            now = limits()
            if now.seconds <= 0:
                break
            answer = run(self.model, now, on_solution=take, should_stop=should_stop)
            if not answer.feasible:
                return False if answer.proved else None
            if found is None:
                break
            if "battery" in self.model.without or not battery.learn(self.model, found):
                self.plan = found
                return True
        return None
