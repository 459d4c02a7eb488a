"""Ruin and recreate in rounds, several at once: each in a zone of the day of its own, and all at one plan.

What one of them makes better in its zone the others have soon after, as far as it fits. At the end of a round each goes
on from the best plan that is known.
"""

import queue
import time
from collections.abc import Callable, Iterator
from typing import NamedTuple

from solver.changes import Change, Snapshot, change, changed, snapshot_of
from solver.clock import DAY_MIN, Interval
from solver.compose import ledger_of, plan_of, vector_of
from solver.improve import Improver
from solver.problem import Day
from solver.schedule import Plan

FIRST_ROUND_SECONDS = 0.04
"""How long the first round of annealing is, for each visit of the day; each further one is twice as long."""
WARM_AGAIN = 0.3
"""How far annealing counts as over as a further round begins."""
LESS_WARM_AGAIN = 0.65
"""The same where several work together: there are so many visits that there is no time to go far back."""
SAY_SECONDS = 0.1
"""Least time between two plans that are said."""
NOTHING = Change({}, {})
ZONE_SECONDS = 2.0
"""How long zones stay as they are."""
SHIFT = 0.2
"""By how much of a zone borders are shifted then, forth and back, so that none stays a border."""


class Task(NamedTuple):
    """``member``: which of ``members`` that work at the plan together."""

    day: Day
    plan: Plan
    seed: int
    seconds: float
    member: int = 0
    members: int = 1


class FromFellow(NamedTuple):
    """How the best plan of another one has changed."""

    member: int
    change: Change


class Proved(NamedTuple):
    """So many aims, from the first on, cannot be any better than in the best plan."""

    aims: int


Heard = Plan | FromFellow | Proved
"""A plan found elsewhere, to go on from where it is better; a fellow's, to take over from; what need not be tried."""


class Annealing:
    """Works at a task until its time is over or nothing is left to improve.

    ``say`` hears of better plans, by what has changed since the one before, at first since the task's.
    """

    def __init__(self, task: Task, heard: "queue.SimpleQueue[Heard]", say: Callable[[Change], None]) -> None:
        self.task = task
        self._heard = heard
        self._say = say
        self._began = time.monotonic()
        self._best = task.plan
        self._said, self._said_at = snapshot_of(task.plan), self._began
        self._fellows = {member: self._said for member in range(task.members) if member != task.member}
        self._left: dict[int, Change] = {}
        self._zones = list(zones(task))
        self._proved = 0

    def run(self) -> None:
        task, seed, warm = self.task, self.task.seed, 0.0
        first = FIRST_ROUND_SECONDS * len(task.day.visits)
        for since, until in rounds(first, task.seconds):
            improver = Improver(ledger_of(task.day, self._best), seed)
            improver.proved = self._proved
            self._left.clear()
            while any(improver.best_scores) and (passed := time.monotonic() - self._began) < until:
                improver.zone = self._zones[int(passed / ZONE_SECONDS) % len(self._zones)]
                improver.step(warm + (1.0 - warm) * (passed - since) / (until - since))
                self._listen(improver)
                if time.monotonic() - self._said_at > SAY_SECONDS:
                    self._tell(improver.best)
            self._tell(improver.best)
            for found in (improver.best, *self._fellows.values()):
                self._keep(plan_of(task.day, *found))
            seed, warm = seed + 2 * task.members, WARM_AGAIN if task.members == 1 else LESS_WARM_AGAIN

    def _tell(self, best: Snapshot) -> None:
        if best != self._said:
            self._say(change(self._said, best))
            self._said, self._said_at = best, time.monotonic()

    def _listen(self, improver: Improver) -> None:
        while not self._heard.empty():
            heard = self._heard.get()
            if isinstance(heard, Plan):
                self._keep(heard)
                if vector_of(self.task.day, heard) < improver.best_scores:
                    improver.go_on_from(snapshot_of(heard))
            elif isinstance(heard, Proved):
                self._proved = improver.proved = heard.aims
            else:
                self._take_over(improver, *heard)

    def _take_over(self, improver: Improver, fellow: int, by: Change) -> None:
        self._fellows[fellow] = changed(self._fellows[fellow], by)
        left = self._left.get(fellow, NOTHING)
        waiting = {id: placed for id, placed in left.visits.items() if id not in by.gone}
        wanted = Change({**waiting, **by.visits}, {**left.breaks, **by.breaks})
        self._left[fellow] = improver.take_over(wanted)

    def _keep(self, plan: Plan) -> None:
        self._best = min(self._best, plan, key=lambda one: vector_of(self.task.day, one))


def zones(task: Task) -> Iterator[Interval]:
    """The minutes of the day that are this one's, in turn: as many visits begin in each zone at first."""
    starts = sorted(placed.parts[0].start for placed in task.plan.visits)

    def border(k: int, shift: float) -> int:
        if k in (0, task.members):
            return 0 if k == 0 else DAY_MIN
        return starts[int((k + shift) * len(starts) / task.members)] if starts else 0

    for shift in (-SHIFT, SHIFT):
        yield Interval(border(task.member, shift), border(task.member + 1, shift))


def rounds(first: float, seconds: float) -> Iterator[tuple[float, float]]:
    """When each round begins and ends: each is twice as long as the one before, but for the last, which ends at
    ``seconds`` and is not shorter than the one before."""
    since, length = 0.0, first
    while since < seconds:
        until = since + length
        if seconds - until < length:
            until = seconds
        yield since, until
        since, length = until, 2 * length
