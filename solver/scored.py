"""The plan in a ledger with its scores, kept up to date as visits come and go."""

from solver.aims import Costs, costs_of
from solver.changes import Snapshot
from solver.clock import Interval
from solver.masks.ledger import Ledger
from solver.outline import outline_of
from solver.schedule import PlacedVisit
from solver.visits import Visit


class ScoredPlan:
    """Visits are to be taken out and put in here, not in the ledger itself.

    ``costs``: what each placed visit adds to the aims. ``spans``: its minutes.
    """

    def __init__(self, ledger: Ledger) -> None:
        self.ledger = ledger
        self.day = ledger.day
        self.costs: dict[str, Costs] = {}
        self.spans: dict[str, Interval] = {}
        self._sums = [0] * len(self.day.aims)
        self._left_out = sum(visit.priority for visit in self.day.visits)
        for placed in ledger.visits.values():
            self._note(placed)
        self._fixed = [visit.id for visit in self.day.visits if visit.fixed is not None]
        self._break_count = sum(len(member.breaks) for member in self.day.staff)
        self._moving = [unit.id for unit in self.day.units if len(unit.places) > 1]

    def take_out(self, id: str) -> None:
        """Take a placed visit out."""
        self.ledger.remove(id)
        del self.spans[id]
        self._count(self.day.visit_by_id[id], self.costs.pop(id), -1)

    def put_in(self, placed: PlacedVisit) -> None:
        """Put in a visit that is not placed."""
        self.ledger.add(placed)
        self._note(placed)

    def _note(self, placed: PlacedVisit) -> None:
        visit = self.day.visit_by_id[placed.id]
        outline = outline_of(visit, placed)
        costs = costs_of(self.day, visit, outline)
        self.costs[placed.id] = costs
        self.spans[placed.id] = Interval(outline.start, outline.end)
        self._count(visit, costs, 1)

    def _count(self, visit: Visit, costs: Costs, sign: int) -> None:
        self._left_out -= sign * visit.priority
        for index, cost in enumerate(costs):
            self._sums[index] += sign * cost

    def score(self, index: int) -> int:
        """The plan's score for the aim of this number, from running sums where the aim is one."""
        match self.day.aims[index]:
            case "placed":
                return self._left_out
            case "finish":
                return max([costs[index] for costs in self.costs.values()], default=0)
            case _:
                return self._sums[index]

    def scores(self) -> Costs:
        """The scores of all aims, in their order."""
        return tuple(self.score(index) for index in range(len(self.day.aims)))

    def stands(self) -> bool:
        """True where every fixed visit and break is in the plan, and batteries keep their reserve.

        A stay taken away can make a unit move where it stood charging before, so batteries are asked again.
        """
        fixed = all(id in self.ledger.visits for id in self._fixed)
        breaks = len(self.ledger.breaks) == self._break_count
        return fixed and breaks and all(self.ledger.batteries.lasts(unit) for unit in self._moving)

    def snapshot(self) -> Snapshot:
        return Snapshot(dict(self.ledger.visits), dict(self.ledger.breaks))

    def restore(self, snapshot: Snapshot) -> None:
        """Have everything again where it was."""
        ledger, visits, breaks = self.ledger, snapshot.visits, snapshot.breaks
        for id in [id for id, placed in ledger.visits.items() if visits.get(id) is not placed]:
            self.take_out(id)
        for key in [key for key, taken in ledger.breaks.items() if breaks.get(key) is not taken]:
            ledger.remove_break(*key)
        for (_, index), taken in ((key, b) for key, b in breaks.items() if key not in ledger.breaks):
            ledger.add_break(index, taken)
        for placed in visits.values():
            if placed.id not in ledger.visits:
                self.put_in(placed)
