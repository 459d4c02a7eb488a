"""Ruin and recreate on the masks: take out a few visits near a badly placed one, put them back in another order.

Accepted by late acceptance: a step is kept where it is no worse than the plan was some steps ago (Burke & Bykov, "The
late acceptance Hill-Climbing heuristic", European Journal of Operational Research 258, 2017).
"""

from collections.abc import Callable
from random import Random

from solver.aims import costs_of, total_of
from solver.construct import urgency
from solver.masks.ledger import Ledger
from solver.masks.offers import Costs, best_offer
from solver.masks.pauses import take_break
from solver.outline import outline_of
from solver.schedule import PlacedBreak, PlacedVisit
from solver.visits import Visit

MEMORY = 30
LARGEST_RUIN = 6
BREAK_MOVES = 0.25

Snapshot = tuple[dict[str, PlacedVisit], dict[tuple[str, int], PlacedBreak]]


class Improver:
    """Improves the plan in a ledger step by step; ``best`` is the best plan met, ``best_scores`` its scores."""

    def __init__(self, ledger: Ledger, seed: int) -> None:
        self.ledger = ledger
        self.day = ledger.day
        self.random = Random(seed)
        self.costs: dict[str, Costs] = {}
        for placed in ledger.visits.values():
            self._note(placed)
        self.scores = self._scores()
        self.best_scores = self.scores
        self.best = self._snapshot()
        self._past = [self.scores] * MEMORY
        self._steps = 0

    def step(self) -> bool:
        """One ruin and one recreation; True where the plan is the best so far."""
        visits_before, breaks_before = self._snapshot()
        out = self._ruin()
        self._recreate(out)
        scores = self._scores()
        slot = self._steps % MEMORY
        self._steps += 1
        if not self._stands() or (scores > self._past[slot] and scores > self.scores):
            self._restore(visits_before, breaks_before)
        else:
            self.scores = scores
        self._past[slot] = min(self._past[slot], self.scores)
        if self.scores < self.best_scores:
            self.best_scores = self.scores
            self.best = self._snapshot()
            return True
        return False

    def run(self, keep_going: Callable[[int], bool], on_better: Callable[[int], None]) -> None:
        """Step while ``keep_going(steps taken)`` says so and there is anything to gain."""
        steps = 0
        while any(self.best_scores) and keep_going(steps):
            steps += 1
            if self.step():
                on_better(steps)

    def _stands(self) -> bool:
        """True where every fixed visit and break is in the plan, and batteries keep their reserve.

        A stay taken away can make a unit move where it stood charging before, so batteries are asked again.
        """
        fixed = all(visit.fixed is None or visit.id in self.ledger.visits for visit in self.day.visits)
        breaks = len(self.ledger.breaks) == sum(len(member.breaks) for member in self.day.staff)
        moving = (unit.id for unit in self.day.units if len(unit.places) > 1)
        return fixed and breaks and all(self.ledger.battery_keeps(unit, []) for unit in moving)

    def _note(self, placed: PlacedVisit) -> None:
        visit = self.day.visit_by_id[placed.id]
        self.costs[placed.id] = costs_of(self.day, visit, outline_of(visit, placed))

    def _scores(self) -> Costs:
        by_id = self.day.visit_by_id
        return total_of(self.day, ((by_id[id], costs) for id, costs in self.costs.items()))

    def _snapshot(self) -> Snapshot:
        return dict(self.ledger.visits), dict(self.ledger.breaks)

    def _restore(self, visits: dict[str, PlacedVisit], breaks: dict[tuple[str, int], PlacedBreak]) -> None:
        ledger = self.ledger
        for id in [id for id, placed in ledger.visits.items() if visits.get(id) is not placed]:
            self._take_out(id)
        for key in [key for key, taken in ledger.breaks.items() if breaks.get(key) is not taken]:
            ledger.remove_break(*key)
        for (_, index), taken in ((key, b) for key, b in breaks.items() if key not in ledger.breaks):
            ledger.add_break(index, taken)
        for placed in visits.values():
            if placed.id not in ledger.visits:
                self._put_in(placed)

    def _take_out(self, id: str) -> None:
        self.ledger.remove(id)
        del self.costs[id]

    def _put_in(self, placed: PlacedVisit) -> None:
        self.ledger.add(placed)
        self._note(placed)

    def _ruin(self) -> list[Visit]:
        """Take out visits near one that costs something, and now and then a break; they and the left-out come back."""
        left_out = [visit for visit in self.day.visits if visit.id not in self.ledger.visits]
        minute = self._sore_minute(left_out)
        size = self.random.randint(1, min(LARGEST_RUIN, max(1, len(self.ledger.visits))))
        near = sorted(self.ledger.visits, key=lambda id: self._apart(id, minute) + self.random.expovariate(1 / 30))
        taken = near[:size]
        for id in taken:
            self._take_out(id)
        return [*left_out, *(self.day.visit_by_id[id] for id in taken)]

    def _sore_minute(self, left_out: list[Visit]) -> int:
        """A minute of the day at which a visit that costs something is, or would like to be."""
        costly = [id for id, costs in self.costs.items() if any(costs)]
        pick = self.random.randrange(len(costly) + len(left_out)) if costly or left_out else None
        if pick is None:
            return self.random.randrange(self.day.open, self.day.close)
        if pick < len(costly):
            id = costly[pick]
            visit, start = self.day.visit_by_id[id], self.ledger.visits[id].parts[0].start
            return start if visit.wish is None or self.random.random() < 0.3 else visit.wish
        visit = left_out[pick - len(costly)]
        if visit.wish is not None:
            return visit.wish
        window = self.random.choice(self.day.visit_free(visit) or (self.day.open_interval,))
        return self.random.randrange(window.start, window.end)

    def _apart(self, id: str, minute: int) -> int:
        placed = self.ledger.visits[id]
        last = self.day.visit_by_id[id].parts[-1]
        return max(0, placed.parts[0].start - minute, minute - placed.parts[-1].start - last.minutes)

    def _recreate(self, out: list[Visit]) -> None:
        """Put visits back by best offer in a random order, the fixed ones first; then a break that was moved."""
        moved = self._move_break() if self.random.random() < BREAK_MOVES else None
        if self.random.random() < 0.5:
            self.random.shuffle(out)
        else:
            out.sort(key=lambda visit: (urgency(self.day, visit), self.random.random()))
        out.sort(key=lambda visit: visit.fixed is None)
        for visit in out:
            placed = best_offer(self.ledger, visit, self.random)
            if placed is not None:
                self._put_in(placed)
        if moved is not None:
            staff, index = moved
            take_break(self.ledger, self.day.staff_by_id[staff], index, self.random)

    def _move_break(self) -> tuple[str, int] | None:
        """Take a break out before the visits come back: it is taken again where there is room then."""
        if not self.ledger.breaks:
            return None
        key = self.random.choice(sorted(self.ledger.breaks))
        self.ledger.remove_break(*key)
        if self.random.random() < 0.5:
            return key
        take_break(self.ledger, self.day.staff_by_id[key[0]], key[1], self.random)
        return None if key in self.ledger.breaks else key
