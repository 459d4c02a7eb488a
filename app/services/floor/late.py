"""What a delay does to the rest of the day, and a repair of it: looked at, accepted or left as it is."""

import datetime
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, replace

from app.clock import local_minute
from app.db.store import Store
from app.queries.clinics import the_clinic
from app.queries.days import day_row
from app.services.days import kept, save_day_within
from app.services.floor.happened import happened
from app.services.floor.late_kept import as_kept
from app.services.floor.reading import Reading
from app.services.floor.room import FloorRoom
from app.worker import Solve, Worker, search
from solver.errors import Fault, InputError, PlanRefusedError
from solver.late import LiveDay, Outcome, for_repair, live_day, outcome_of, shifted
from solver.progress import Progress

REPAIR_S = 5
"""Within so many seconds a repair is there, or it is said that none was found."""
SEARCH_S = 3.5
"""Of these the search has so many; the rest is for its process to begin and to hand in what it found."""
Moment = datetime.datetime


@dataclass(frozen=True, slots=True)
class Effect:
    """What comes of the day if nothing is decided."""

    live: LiveDay
    outcome: Outcome


@dataclass(frozen=True, slots=True)
class Repair:
    """A search for a repair. ``outcome`` None: it runs, or found none, which ``error`` says."""

    mark: str
    began: float
    seconds: int
    ended: bool = False
    outcome: Outcome | None = None
    error: str = ""


class LateRoom:
    """Safe to use from many threads. One repair at a time is looked for, of the day that was asked about last."""

    def __init__(self, store: Store, floor: FloorRoom, solve: Solve = search) -> None:
        self._store = store
        self._floor = floor
        self._solve = solve
        self._lock = threading.Lock()
        self._effect: tuple[tuple[str, int], Effect] | None = None
        self._repair: Repair | None = None
        self._worker: Worker | None = None
        self.time_now: Callable[[], float] = time.monotonic

    def effect(self, reading: Reading, now: Moment) -> Effect:
        """The plain right-shift as of now; made once a minute and event."""
        key = (reading.mark, local_minute(now, reading.date, reading.zone))
        with self._lock:
            if self._effect is not None and self._effect[0] == key:
                return self._effect[1]
        live = live_day(reading.day, reading.plan, happened(reading, now))
        made = Effect(live, shifted(live, reading.plan))
        with self._lock:
            self._effect = (key, made)
        return made

    def repair(self, reading: Reading) -> Repair | None:
        """What is looked for, or was found, of the day as it is; None where nobody asked since it changed."""
        with self._lock:
            return self._repair if self._repair is not None and self._repair.mark == reading.mark else None

    def look_for_repair(self, reading: Reading, now: Moment) -> None:
        """Begin, unless it is looked for or found already. Nothing is saved by that."""
        effect = self.effect(reading, now)
        with self._lock:
            same = self._repair is not None and self._repair.mark == reading.mark and not self._repair.error
            if same or effect.outcome.broken:
                return
            self._stop()
            self._repair = Repair(reading.mark, self.time_now(), REPAIR_S)
            question = for_repair(effect.live, reading.day.published_by_id)
            worker = self._worker = Worker(question, SEARCH_S, self._solve)
        threading.Thread(target=self._follow, args=(worker, reading.mark, effect), daemon=True).start()

    def cancel(self) -> None:
        """End the search with the best so far."""
        with self._lock:
            if self._worker is not None:
                self._worker.stop()

    def close(self) -> None:
        self.cancel()

    def accept(self, date: datetime.date, which: str, mark: str, now: Moment, *, actor: str) -> None:
        """Make what was shown the day's plan. ``which``: shift or repair; ``mark``: of what was shown.

        Raises InputError where the day is not as it was then, or where no plan of it can be kept.
        """
        with self._store.writing() as session:
            clinic = the_clinic(session, to_write=True)
            row, reading = day_row(session, clinic.id or 0, date), self._floor.read(date)
            if row is None or reading is None or reading.mark != mark:
                raise InputError([Fault("mark", "something happened since it was shown", "look at it again")])
            found = self.repair(reading)
            outcome = self.effect(reading, now).outcome if which == "shift" else found.outcome if found else None
            if outcome is None or outcome.plan is None:
                raise InputError([Fault("which", "there is no such plan", "choose one that is shown")])
            present = kept(session, row)
            day, plan = as_kept(present.day, present.plan or reading.plan, reading, outcome.plan)
            save_day_within(session, clinic, day, plan, read=present.version, actor=actor, known=present)

    def _stop(self) -> None:
        if self._worker is not None:
            self._worker.stop()

    def _follow(self, worker: Worker, mark: str, effect: Effect) -> None:
        ended = worker.follow(_untold)
        outcome, error = None, ended.error
        if ended.plan is not None:
            try:
                outcome = outcome_of(effect.live, ended.plan)
            except PlanRefusedError as refused:
                error = str(refused)
        plain = effect.outcome
        if plain.plan is not None and (outcome is None or plain.rank < outcome.rank):
            outcome, error = plain, ""
        with self._lock:
            if self._repair is not None and self._repair.mark == mark:
                self._repair = replace(self._repair, ended=True, outcome=outcome, error=error)
            if self._worker is worker:
                self._worker = None


def _untold(_progress: Progress) -> None:
    """A repair is over before anybody has read how it goes."""
