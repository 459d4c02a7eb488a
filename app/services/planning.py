"""Planning a day again: one search at a time, followed by a thread, joined by whoever asks meanwhile."""

import threading
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

from app.services.day_files import DayFiles
from app.worker import Solve, Worker, search
from solver.errors import Fault, InputError, PlanRefusedError
from solver.names import AimName
from solver.problem import Day
from solver.progress import Progress

MOST_SECONDS = 120


@dataclass(frozen=True, slots=True, kw_only=True)
class Search:
    """The state of a search. ``ended``: not any more; then ``message`` says how, ``lines`` what went wrong."""

    aims: tuple[AimName, ...]
    limit: int
    began: float
    aim: AimName | None = None
    scores: Mapping[AimName, int] = field(default_factory=dict)
    bounds: Mapping[AimName, int] = field(default_factory=dict)
    cancelling: bool = False
    ended: bool = False
    seconds: float = 0.0
    message: str = ""
    lines: tuple[str, ...] = ()

    def elapsed(self, now: float) -> float:
        return self.seconds if self.ended else now - self.began


class Planning:
    """Starts, follows and stops the searches of one day."""

    def __init__(self, files: DayFiles, solve: Solve = search, time_now: Callable[[], float] = time.monotonic) -> None:
        self.files = files
        self.time_now = time_now
        self._solve = solve
        self._lock = threading.Lock()
        self._worker: Worker | None = None
        self._thread: threading.Thread | None = None
        self._search: Search | None = None

    @property
    def current(self) -> Search | None:
        """The running search, else the last one, else None."""
        return self._search

    def start(self, seconds: int) -> Search:
        """Read the day file again and start a search; join the running one where there is one.

        Raises InputError with every fault of the day file, or where no process can be started; then nothing runs.
        """
        with self._lock:
            if self._search is not None and not self._search.ended:
                return self._search
            day, content = self.files.read()
            try:
                worker = Worker(day, seconds, self._solve)
            except OSError as error:
                what = f"no process could be started ({error.strerror})"
                raise InputError([Fault("solver", what, "close other programs and try again")]) from None
            self._worker = worker
            self._search = begun = Search(aims=day.aims, limit=seconds, began=self.time_now())
            self._thread = threading.Thread(target=self._follow, args=(worker, day, content), daemon=True)
            self._thread.start()
            return begun

    def cancel(self) -> None:
        """Stop the running search and keep its best plan so far; nothing happens where none runs."""
        with self._lock:
            if self._search is None or self._search.ended or self._worker is None:
                return
            self._search = replace(self._search, cancelling=True)
            self._worker.stop()

    def wait(self, seconds: float) -> None:
        """Until the running search has ended, but no longer than the seconds."""
        if self._thread is not None:
            self._thread.join(seconds)

    def close(self) -> None:
        """Stop whatever runs and wait for its end."""
        self.cancel()
        self.wait(5)

    def _follow(self, worker: Worker, day: Day, content: bytes) -> None:
        outcome = worker.follow(self._told)
        if outcome.plan is None:
            self._end(outcome.error[:1].upper() + outcome.error[1:] + ". The plan on show is unchanged.")
            return
        if outcome.plan.status == "infeasible" and self.files.date is not None:
            lines = tuple(f"{clash.id}: {', '.join(clash.rules)}" for clash in outcome.plan.conflict)
            self._end("The fixed visits and the breaks cannot all stand. The plan on show is unchanged.", lines)
            return
        try:
            shown = self.files.save(day, content, outcome.plan)
        except PlanRefusedError as error:
            self._end("The solver’s plan broke a rule and was not saved.", tuple(error.lines))
        except InputError as error:
            lines = tuple(str(fault) for fault in error.faults)
            self._end("The plan could not be written. The plan on show is unchanged.", lines)
        else:
            how = "Stopped; the best so far is" if outcome.stopped else "Finished:"
            self._end(f"{how} plan {shown.version}.")

    def _told(self, progress: Progress) -> None:
        with self._lock:
            if self._search is not None:
                self._search = replace(self._search, aim=progress.aim, scores=progress.scores, bounds=progress.bounds)

    def _end(self, message: str, lines: tuple[str, ...] = ()) -> None:
        with self._lock:
            if self._search is not None:
                seconds = self.time_now() - self._search.began
                self._search = replace(self._search, ended=True, seconds=seconds, message=message, lines=lines)
