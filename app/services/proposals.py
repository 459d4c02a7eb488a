"""Proposals: what a search found for a day that has a plan, kept in memory until the desk accepts or discards it."""

import datetime
import itertools
import threading
from dataclasses import dataclass

from app.db.store import Store
from app.services.days import KeptDay, save_day
from solver.errors import Fault, InputError
from solver.schedule import Plan


@dataclass(frozen=True, slots=True)
class Proposal:
    """``kept``: the day with its plan, as they were read when the search began. ``number`` tells it from any other."""

    number: int
    kept: KeptDay
    plan: Plan
    free: frozenset[str]


class Proposals:
    """At most one for each date; safe to use from many threads."""

    def __init__(self, store: Store) -> None:
        self._store = store
        self._lock = threading.Lock()
        self._numbers = itertools.count(1)
        self._open: dict[datetime.date, Proposal] = {}

    def of(self, date: datetime.date) -> Proposal | None:
        return self._open.get(date)

    def put(self, kept: KeptDay, plan: Plan, free: frozenset[str]) -> Proposal:
        with self._lock:
            proposal = Proposal(next(self._numbers), kept, plan, free)
            self._open[kept.day.date] = proposal
            return proposal

    def accept(self, date: datetime.date, number: int, *, actor: str) -> int:
        """Save it; the day's version then. Raises InputError where it is not open any more.

        Raises StaleDayError where the day was changed since the search began; then the proposal stays, to be seen.
        """
        proposal = self._meant(date, number)
        kept = proposal.kept
        version = save_day(self._store, kept.day, proposal.plan, read=kept.version, actor=actor)
        self.discard(date, number)
        return version

    def discard(self, date: datetime.date, number: int | None = None) -> None:
        """Whatever is open for the date without ``number``. Nothing happens where it is not open any more."""
        with self._lock:
            if number is None or (date in self._open and self._open[date].number == number):
                self._open.pop(date, None)

    def _meant(self, date: datetime.date, number: int) -> Proposal:
        found = self._open.get(date)
        if found is None or found.number != number:
            raise InputError([Fault("proposal", "it was accepted or discarded already", "plan the day again")])
        return found
