"""One run of a plan with the chance that a test gives it, by ids and clock times."""

from collections.abc import Collection, Mapping

from solver.problem import Day
from solver.schedule import Plan
from solver.simulation.chance import Chance
from solver.simulation.day_run import DayRun, Happened
from solver.simulation.lay_out import lay_out
from solver.simulation.layout import Layout
from solver.verify import verify


class Run:
    """``late``: minutes by visit; ``missed``: visits; ``longer``: minutes by visit, for each of its hands-on phases."""

    def __init__(
        self,
        day: Day,
        plan: Plan,
        *,
        late: Mapping[str, int] | None = None,
        missed: Collection[str] = (),
        longer: Mapping[str, int] | None = None,
        limit: int = 0,
        later: Mapping[str, int] | None = None,
    ) -> None:
        assert verify(day, plan) == []
        self.layout = lay_out(day, plan)
        ids = [visit.id for visit in self.layout.visits]
        chance = Chance(
            missed=[id in missed for id in ids],
            late=[(late or {}).get(id, 0) for id in ids],
            longer=[
                (longer or {}).get(ids[task.visit], 0) if task.visit is not None and task.may_overrun else 0
                for task in self.layout.tasks
            ],
        )
        moved = {ids.index(id): minutes for id, minutes in (later or {}).items()}
        self.happened: Happened = DayRun(self.layout, chance, limit, moved).run()

    def starts(self, visit: str) -> list[int | None]:
        """When each phase of the visit began, in minutes from midnight."""
        return [self.happened.begun[task] for task in self._tasks(visit)]

    def held_by(self, visit: str) -> tuple[str, str, str | None]:
        """What the visit's first phase waited for last: rule, resource, visit before it."""
        held = self.happened.held[self._tasks(visit)[0]]
        return held.rule, held.resource, held.visit

    def break_start(self) -> int | None:
        (task,) = self.layout.breaks
        return self.happened.begun[task]

    def _tasks(self, visit: str) -> tuple[int, ...]:
        return next(one.tasks for one in self.layout.visits if one.id == visit)


def as_planned(layout: Layout) -> list[int | None]:
    return [task.planned for task in layout.tasks]
