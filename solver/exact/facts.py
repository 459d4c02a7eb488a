"""A plan as the exact model asks for it: what each variable of the model would be."""

from collections.abc import Sequence

from solver.clock import Interval
from solver.outline import outline_of
from solver.problem import Day
from solver.schedule import PlacedBreak, PlacedPart, PlacedVisit, Plan


class Facts:
    """Answers about one plan of one day."""

    def __init__(self, day: Day, plan: Plan) -> None:
        self.day = day
        self._placed = {placed.id: placed for placed in plan.visits}
        self._breaks = plan.breaks
        self.scores = plan.scores

    def placed(self, visit: str) -> PlacedVisit | None:
        return self._placed.get(visit)

    def part(self, visit: str, index: int) -> PlacedPart | None:
        placed = self._placed.get(visit)
        return None if placed is None else placed.parts[index]

    def start(self, visit: str, index: int) -> int:
        """The part's start; 0 where the visit is left out."""
        part = self.part(visit, index)
        return 0 if part is None else part.start

    def end(self, visit: str, index: int) -> int:
        return self.start(visit, index) + self.day.visit_by_id[visit].parts[index].minutes

    def unit(self, visit: str, index: int) -> str | None:
        part = self.part(visit, index)
        return None if part is None else part.unit

    def place(self, visit: str, index: int) -> str | None:
        part = self.part(visit, index)
        return None if part is None else part.place

    def bay(self, visit: str, index: int) -> str | None:
        part = self.part(visit, index)
        return None if part is None else part.bay

    def hands(self, visit: str, index: int, phase: int) -> str | None:
        part = self.part(visit, index)
        return None if part is None else part.hands[phase]

    def therapist(self, visit: str) -> str | None:
        placed = self._placed.get(visit)
        return None if placed is None else placed.therapist

    def items(self, visit: str, index: int, pool: str) -> tuple[str, ...]:
        part = self.part(visit, index)
        return () if part is None else part.items.get(pool, ())

    def breaks(self, staff: str) -> list[PlacedBreak]:
        """The member's breaks in the order of the day file's list."""
        wanted = dict(enumerate(self.day.staff_by_id[staff].breaks))
        found = {}
        # By start, each to the wish that ends first: exact for windows (Glover's rule for convex matchings).
        for taken in sorted(self._breaks, key=lambda taken: taken.start):
            if taken.staff != staff:
                continue
            fit = [
                i
                for i, wish in wanted.items()
                if wish.minutes == taken.end - taken.start
                and wish.between.start <= taken.start
                and taken.end <= wish.between.end
            ]
            first = min(fit, key=lambda i: wanted[i].between.end)
            found[first] = taken
            del wanted[first]
        return [found[i] for i in sorted(found)]

    def stay(self, visit: str, first: int, last: int) -> Interval | None:
        """From the start of the part ``first`` to the end of the part ``last``; None where the visit is left out."""
        return Interval(self.start(visit, first), self.end(visit, last)) if visit in self._placed else None

    def stay_on(self, unit: str, visit: str, parts: Sequence[int]) -> Interval | None:
        """The same for a stay of these parts, where it is on the unit; None elsewhere."""
        first, last = parts[0], parts[-1]
        return self.stay(visit, first, last) if self.unit(visit, first) == unit else None

    def waited(self, visit: str) -> int:
        """The visit's waits in all; 0 where it is left out."""
        placed = self._placed.get(visit)
        return 0 if placed is None else outline_of(self.day.visit_by_id[visit], placed).wait

    def finish(self) -> int:
        """Minutes from open to the latest end; 0 where nothing is placed."""
        by_id = self.day.visit_by_id
        ends = [outline_of(by_id[id], placed).end for id, placed in self._placed.items()]
        return max(ends, default=self.day.open) - self.day.open
