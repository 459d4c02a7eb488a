"""A plan loaded once, to be asked about many visits."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace

from solver.compose import ledger_of
from solver.offering.openings import Openings
from solver.problem import Day
from solver.right_plan import refuse_if_wrong
from solver.schedule import Plan
from solver.visits import Visit


class LoadedPlan:
    """A right plan of a day, and where in it one more visit could be.

    A visit of the same id in the plan is out of it while a question about it is answered; what the day has fixed of it
    holds where the visit that is asked about fixes nothing itself.
    """

    def __init__(self, day: Day, plan: Plan) -> None:
        """Raises InputError with each broken rule where the plan is not right for the day."""
        refuse_if_wrong(day, plan)
        self.day = day
        self.plan = plan
        self.ledger = ledger_of(day, plan)

    @contextmanager
    def without(self, visit: Visit) -> Iterator[Openings]:
        """Where the visit could be. The ledger holds the rest of the plan until the block ends."""
        ledger = self.ledger
        own = self.day.visit_by_id.get(visit.id)
        if own is not None and visit.fixed is None and own.fixed is not None:
            visit = replace(visit, fixed=own.fixed)
        ledger.know(visit)
        if visit.id not in ledger.visits:
            yield Openings(ledger, visit)
            return
        taken = ledger.remove(visit.id)
        try:
            units = {part.unit for part in taken.parts}
            wanting = frozenset(unit for unit in units if not ledger.batteries.lasts(unit))
            yield Openings(ledger, visit, wanting)
        finally:
            ledger.add(taken)
