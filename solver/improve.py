"""Ruin and recreate on the masks: take out a badly placed visit with others near it, put them back in another order.

Worse plans are kept now and then, more rarely as time goes on: simulated annealing (Kirkpatrick, Gelatt & Vecchi,
"Optimization by Simulated Annealing", Science 220, 1983), aim by aim: what counts is the first aim that differs.
"""

from collections.abc import Mapping
from math import inf, log
from random import Random

from solver.changes import Change, Snapshot
from solver.clock import DAY_MIN, Interval
from solver.construct import urgency
from solver.masks.bits import ALL, span
from solver.masks.ledger import Ledger
from solver.masks.offers import best_offer, target_of
from solver.masks.pauses import take_break
from solver.names import AimName
from solver.neighbours import Neighbours
from solver.scored import ScoredPlan
from solver.taking_over import take_over
from solver.visits import Visit

WHOLE_DAY = Interval(0, DAY_MIN)
WARMTH: Mapping[AimName, float] = {
    "placed": 0.2, "stable": 4.0, "wish": 4.0, "therapist": 0.4, "wait": 4.0, "finish": 4.0,
}  # fmt: skip
"""How much worse an aim may get at first, once in e times."""
COLDEST = 0.02
FOCUSED = 0.7
"""Part of the time in which no aim after the first that costs something limits what is accepted: that one is hardest
to get down, and on the way to it the others may well go up."""
MOST_COMING_BACK = 3
"""Visits left out that are tried again in one step."""
BREAK_MOVES = 0.5
AT_FIRST_AIM = 0.85
SORE_FIRST = 0.8
BY_URGENCY = 0.3


class Improver:
    """Improves the plan in a ledger step by step; ``best`` is the best plan met, ``best_scores`` its scores.

    ``proved``: how many aims, from the first on, are known to be as good as can be: nothing is tried for their sake.
    ``zone``: the minutes of the day in which it looks for what to make better; others may work beside it elsewhere.
    What is badly placed there may go anywhere, all else stays in the zone.
    """

    def __init__(self, ledger: Ledger, seed: int) -> None:
        self.ledger = ledger
        self.day = ledger.day
        self.random = Random(seed)
        self.zone = WHOLE_DAY
        self.proved = 0
        self._focused = False
        self._alone: int | None = None
        self.plan = ScoredPlan(ledger)
        self._neighbours = Neighbours(self.plan, self.random)
        self.scores = self.plan.scores()
        self.best_scores = self.scores
        self.best = self.plan.snapshot()
        self._warmth = [WARMTH[aim] for aim in self.day.aims]
        self._wanted = [visit for visit in self.day.visits if visit.fixed is None]

    def step(self, spent: float) -> bool:
        """One ruin and one recreation; True where the plan is the best so far. ``spent``: part of the time, 0 to 1."""
        self._focus(spent)
        before = self.plan.snapshot()
        limits = self._limits(spent)
        sore, out = self._ruin()
        if self._recreate(sore, out, limits) and self.plan.stands():
            return self._now()
        self.plan.restore(before)
        return False

    def go_on_from(self, better: Snapshot) -> None:
        """Have everything as in a plan that is better than the best so far."""
        self.plan.restore(better)
        self._now()

    def take_over(self, other: Change) -> Change:
        """Have what another plan has elsewhere, outside the own zone, unless this is worse then; what is left."""
        own, breaks = self.ledger.visits, self.ledger.breaks
        visits = {
            id: placed
            for id, placed in other.visits.items()
            if own.get(id) != placed and not (self._in_zone(id) and self._is_mine(placed.parts[0].start))
        }
        elsewhere = {key: taken for key, taken in other.breaks.items() if not self._is_mine(breaks[key].start)}
        left = take_over(self.plan, Change(visits, elsewhere))
        self._now()
        return left

    def _in_zone(self, id: str) -> bool:
        """True where the visit is placed in the own zone."""
        return id in self.plan.spans and self._is_mine(self.plan.spans[id].start)

    def _is_mine(self, minute: int) -> bool:
        return self.zone.start <= minute < self.zone.end

    def _now(self) -> bool:
        """Take note of what has become of the plan; True where it is the best so far."""
        self.scores = self.plan.scores()
        if self.scores >= self.best_scores:
            return False
        self.best_scores = self.scores
        self.best = self.plan.snapshot()
        return True

    def _focus(self, spent: float) -> None:
        """Let the first open aim that costs something count alone while the first part of the time lasts.

        Once that is over the others count again: it is gone on from the best plan.
        """
        focused = spent < FOCUSED
        if self._focused and not focused:
            self.plan.restore(self.best)
            self.scores = self.best_scores
        self._focused = focused
        costly = (n for n, score in enumerate(self.scores) if n >= self.proved and score)
        self._alone = next(costly, None) if focused else None

    def _limits(self, spent: float) -> tuple[float, ...]:
        """How high each aim may get in this step."""
        luck = -log(1.0 - self.random.random()) * max(COLDEST, 1.0 - spent)
        limits = [score + warmth * luck for score, warmth in zip(self.scores, self._warmth, strict=True)]
        if self._alone is not None:
            limits[self._alone + 1 :] = [inf] * (len(limits) - self._alone - 1)
        return tuple(limits)

    def _ruin(self) -> tuple[str | None, list[Visit]]:
        """Take out a visit that costs something and others near where it is or would like to be.

        Answers with its id and with all who are to come back: they, and some of the visits left out.
        """
        by_id, placed = self.day.visit_by_id, self.ledger.visits
        left_out = [visit for visit in self._wanted if visit.id not in placed]
        sore = self._sore(left_out)
        near = [id for id in self._neighbours.of(sore) if self._in_zone(id)]
        if sore is not None and sore.id in placed:
            near.append(sore.id)
        for id in near:
            self.plan.take_out(id)
        coming = self.random.sample(left_out, min(len(left_out), MOST_COMING_BACK))
        if sore is not None and sore.id not in near and sore not in coming:
            coming.append(sore)
        return (None if sore is None else sore.id), [*coming, *(by_id[id] for id in near)]

    def _sore(self, left_out: list[Visit]) -> Visit | None:
        """A visit that costs something of an aim, mostly of the first that has a cost, more often one that costs much.

        None where no aim has a cost.
        """
        by_id = self.day.visit_by_id
        for index, (aim, score) in enumerate(zip(self.day.aims, self.scores, strict=True)):
            if index < self.proved or score == 0 or self.random.random() > AT_FIRST_AIM:
                continue
            if aim == "placed":
                return self.random.choice(left_out)
            least = score if aim == "finish" else 1
            costly = {
                id: costs[index] for id, costs in self.plan.costs.items() if costs[index] >= least and self._in_zone(id)
            }
            if costly:
                return by_id[self.random.choices(list(costly), list(costly.values()))[0]]
        return None

    def _recreate(self, sore: str | None, out: list[Visit], limits: tuple[float, ...]) -> bool:
        """Put visits back by best offer in some order, the fixed ones first; then a break that was moved.

        False as soon as the plan is sure to be worse than the limits allow; it is then not whole.
        """
        random = self.random
        moved = self._move_break() if random.random() < BREAK_MOVES else None
        random.shuffle(out)
        if random.random() < BY_URGENCY:
            out.sort(key=lambda visit: urgency(self.day, visit))
        if random.random() < SORE_FIRST:
            out.sort(key=lambda visit: visit.id != sore)
        out.sort(key=lambda visit: visit.fixed is None)
        waiting = sum(visit.priority for visit in out)
        anywhere = self._alone is not None and self.day.aims[self._alone] == "placed"
        for visit in out:
            within = self._within(visit, waiting, limits)
            if visit.id != sore:
                within &= span(*self.zone)
            placed = best_offer(self.ledger, visit, random, within=within, anywhere=anywhere)
            waiting -= visit.priority
            if placed is not None:
                self.plan.put_in(placed)
            if self._too_much(waiting, limits):
                return False
        if moved is not None:
            staff, index = moved
            take_break(self.ledger, self.day.staff_by_id[staff], index, random, within=span(*self.zone))
        return True

    def _within(self, visit: Visit, waiting: int, limits: tuple[float, ...]) -> int:
        """The starts at which the visit, come back, is not sure to take the scores beyond the limits.

        ``waiting``: the priorities of those still out, the visit's own too.
        """
        for index, aim in enumerate(self.day.aims):
            score = self.plan.score(index) - (waiting if aim == "placed" else 0)
            target = target_of(self.day, visit, aim)
            if target is not None:
                most = int(min(limits[index] - score, DAY_MIN))
                return span(target - most, target + most + 1)
            if score != self.scores[index]:
                break
        return ALL

    def _too_much(self, waiting: int, limits: tuple[float, ...]) -> bool:
        """True where the scores are beyond the limits already, without what those still out will add.

        ``waiting``: the priorities of those still out, who may yet come in.
        """
        for index, aim in enumerate(self.day.aims):
            score = self.plan.score(index) - (waiting if aim == "placed" else 0)
            if score != self.scores[index]:
                return score > limits[index]  # below: it may still turn out better, and then no later aim counts
        return False

    def _move_break(self) -> tuple[str, int] | None:
        """Take a break out before the visits come back: it is taken again where there is room then."""
        keys = sorted(key for key, taken in self.ledger.breaks.items() if self._is_mine(taken.start))
        if not keys:
            return None
        key = self.random.choice(keys)
        self.ledger.remove_break(*key)
        if self.random.random() < 0.5:
            return key
        take_break(self.ledger, self.day.staff_by_id[key[0]], key[1], self.random, within=span(*self.zone))
        return None if key in self.ledger.breaks else key
