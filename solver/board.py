"""What a search has reached so far, shared by those who improve and those who prove, and told to the caller."""

import threading
import time
from collections.abc import Mapping
from typing import NamedTuple

from solver.compose import explained, finished, vector_of
from solver.known_names import with_known_names
from solver.names import AimName
from solver.problem import Day
from solver.progress import Progress, ProgressCallback, StopRequest
from solver.schedule import Plan

NEWS_SECONDS = 0.1
"""Least time between two reports of progress: a plan that is told has its reasons found and is verified first."""
NEWS_SHARE = 0.1
"""The part of the time that this may take, what the caller does then left aside: on a day of 380 visits it takes a
twentieth of a second, and a third of one where some are left out."""


class _Bound(NamedTuple):
    bound: int
    held: Mapping[AimName, int]


class Board:
    """The best plan, the bounds, and the time left. ``take`` and ``raise_bound`` may be called from any thread.

    A bound is proved while the aims before it are held at some scores. It stays one where those fall, since fewer plans
    are left to choose from; where one of them rises, because an aim before that one fell, it counts no longer.
    """

    def __init__(
        self, day: Day, seconds: float, on_progress: ProgressCallback | None, should_stop: StopRequest
    ) -> None:
        self.day = day
        self.seconds = seconds
        self.aim: AimName | None = None
        self._should_stop = should_stop
        self._on_progress = on_progress
        self._lock = threading.Lock()
        self._best: Plan | None = None
        self._bounds: dict[AimName, _Bound] = {}
        self._explained: tuple[Plan, Plan] | None = None
        self._began = time.monotonic()
        self._quiet_until = 0.0
        self._untold = False

    @property
    def elapsed(self) -> float:
        return time.monotonic() - self._began

    @property
    def left(self) -> float:
        return self.seconds - self.elapsed

    def over(self) -> bool:
        """True once time is up or the caller wants no more."""
        return self.left <= 0 or self._should_stop()

    @property
    def best(self) -> Plan:
        assert self._best is not None, "asked for before the first plan"
        return self._best

    @property
    def vector(self) -> tuple[int, ...]:
        """The best plan's scores in the order of the aims."""
        return vector_of(self.day, self.best)

    def take(self, plan: Plan) -> Plan:
        """Keep the plan where it is better than the best so far; the best of both."""
        with self._lock:
            if self._best is None or vector_of(self.day, plan) < vector_of(self.day, self._best):
                self._best = plan
                self._untold = True
            return self._best

    def raise_bound(self, aim: AimName, bound: int, held: Mapping[AimName, int]) -> bool:
        """Keep the bound where it is higher; True where the aim is proved. ``held``: scores of the aims before it."""
        with self._lock:
            if bound > self.bound(aim):
                self._bounds[aim] = _Bound(bound, held)
                self._untold = True
        return not self.is_open(aim)

    def bound(self, aim: AimName) -> int:
        """The highest bound that counts for the best plan, never above its score."""
        best, known = self.best, self._bounds.get(aim)
        if known is None or any(best.scores[before] > score for before, score in known.held.items()):
            return 0
        return min(known.bound, best.scores[aim])

    def is_open(self, aim: AimName) -> bool:
        return self.bound(aim) < self.best.scores[aim]

    def open_aims(self) -> list[AimName]:
        """The aims that are not proved yet, in their order."""
        return [aim for aim in self.day.aims if self.is_open(aim)]

    @property
    def proved(self) -> int:
        """How many aims, from the first on, are proved."""
        return next((number for number, aim in enumerate(self.day.aims) if self.is_open(aim)), len(self.day.aims))

    def held_before(self, aim: AimName) -> dict[AimName, int]:
        """The best plan's scores for the aims before this one."""
        best = self.best
        return {before: best.scores[before] for before in self.day.aims[: self.day.aims.index(aim)]}

    def now_at(self, aim: AimName) -> None:
        """The aim that is worked at from now on."""
        self.aim = aim
        self._untold = True

    def tell(self, *, at_once: bool = False) -> None:
        """Tell the caller what is new, unless that was done just before. For the caller's own thread."""
        began = self.elapsed
        if self._on_progress is None or not self._untold or (began < self._quiet_until and not at_once):
            return
        self._untold = False
        plan = self.whole(to_come=True)
        self._quiet_until = began + max(NEWS_SECONDS, (self.elapsed - began) / NEWS_SHARE)
        self._on_progress(Progress(seconds=began, plan=plan, aim=self.aim, scores=plan.scores, bounds=plan.bounds))

    def whole(self, *, to_come: bool = False) -> Plan:
        """The best plan fit to leave, named as people know it; its reasons are found once, however often it is told.

        ``to_come``: the search goes on. Bounds of aims after one that is still open are then kept back, since they may
        not last.
        """
        with self._lock:
            best, bounds = self.best, {aim: self.bound(aim) for aim in self.day.aims}
        if to_come:
            first_open = next((i for i, aim in enumerate(self.day.aims) if bounds[aim] < best.scores[aim]), None)
            later = self.day.aims[first_open + 1 :] if first_open is not None else ()
            bounds.update(dict.fromkeys(later, 0))
        if self._explained is None or self._explained[0] is not best:
            named = with_known_names(self.day, best, self.day.published)
            self._explained = (best, explained(self.day, named))
        return finished(self.day, self._explained[1], bounds)
