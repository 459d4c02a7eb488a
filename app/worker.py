"""Work in a process of its own, such as a search: it can be stopped at once, and may die alone.

Messages come through a pipe: progress for each step, then what was found, or the text of what went wrong. The parent
keeps the best it has been told of, so that stopping never loses it.
"""

import contextlib
import multiprocessing
import os
import signal
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from multiprocessing.connection import Connection
from multiprocessing.synchronize import Event
from typing import Generic, Protocol, TypeVar, cast

from solver.errors import ChanneldayError
from solver.one_line import one_line
from solver.problem import Day
from solver.progress import Progress, ProgressCallback, StopRequest
from solver.schedule import Plan

Told = TypeVar("Told")
Found = TypeVar("Found")
Work = Callable[[Callable[[Told], None], StopRequest], Found | None]
"""What a process does: it tells of its progress, asks now and then whether to stop, and gives back what it found."""

GRACE_S = 0.3
"""How long a worker that was asked to stop may take to hand in its last plan before it is ended."""


class Solve(Protocol):
    """The solver's one function, or a test's in its place; it must be importable by name in another process."""

    def __call__(
        self,
        day: Day,
        *,
        seconds: float,
        on_progress: ProgressCallback | None,
        should_stop: StopRequest | None,
    ) -> Plan: ...


def search(day: Day, *, seconds: float, on_progress: ProgressCallback | None, should_stop: StopRequest | None) -> Plan:
    """The product's own solver, imported where it runs: the web process never loads it."""
    from solver.search import solve

    return solve(day, seconds=seconds, on_progress=on_progress, should_stop=should_stop)


@dataclass(frozen=True, slots=True)
class Outcome:
    """How a search ended. ``plan`` None: ``error`` says why there is none. ``stopped``: it was told to stop."""

    plan: Plan | None
    stopped: bool
    error: str


@dataclass(frozen=True, slots=True)
class Ended(Generic[Found]):
    """The same of any work. ``found`` None: ``error`` says why there is nothing."""

    found: Found | None
    stopped: bool
    error: str


@dataclass(frozen=True, slots=True)
class _Failed:
    text: str


@dataclass(frozen=True, slots=True)
class _Done:
    found: object


class Job(Generic[Told, Found]):
    """Work in one process. Start it, then call ``follow`` once, from a thread that may wait.

    ``best``: what a progress brings that may stand for the end. ``nothing``: what is said where there is none yet.
    """

    def __init__(
        self,
        work: Work[Told, Found],
        best: Callable[[Told], Found | None],
        nothing: str,
        grace: float = GRACE_S,
    ) -> None:
        context = multiprocessing.get_context("spawn")
        self._best, self._nothing, self._grace = best, nothing, grace
        self._stop = context.Event()
        self._ours, theirs = context.Pipe(duplex=False)
        self._process = context.Process(target=_work, args=(work, theirs, self._stop, os.getpid()))
        self._process.start()
        theirs.close()
        self._stopped = False

    def stop(self) -> None:
        """Ask for the best so far. ``follow`` returns soon after the grace."""
        self._stopped = True
        self._stop.set()

    def follow(self, told: Callable[[Told], None]) -> Ended[Found]:
        """Wait for the end of the work; each progress is told as it comes."""
        best: Found | None = None
        patience = self._grace
        try:
            while True:
                if self._ours.poll(0.05):
                    message = self._ours.recv()
                    if isinstance(message, _Done):
                        return Ended(cast("Found", message.found), self._stopped, "")
                    if isinstance(message, _Failed):
                        return Ended(None, self._stopped, message.text)
                    best = self._best(message) or best
                    told(message)
                elif self._stopped:
                    patience -= 0.05
                if patience <= 0:
                    return self._cut_short(best)
        except (EOFError, OSError):  # OSError: ended in the middle of a message
            self._process.join(1)
            if self._stopped:
                return self._cut_short(best)
            return Ended(None, False, f"the solver’s process ended by itself (code {self._process.exitcode})")
        finally:
            self._process.kill()
            self._process.join()
            self._ours.close()

    def _cut_short(self, best: Found | None) -> Ended[Found]:
        return Ended(best, True, "" if best else self._nothing)


class Worker:
    """One search in one process, as a job."""

    def __init__(self, day: Day, seconds: float, solve: Solve = search) -> None:
        work = partial(_solve, solve, day, seconds)
        self._job: Job[Progress, Plan] = Job(work, _plan_of, "stopped before there was a first plan")

    def stop(self) -> None:
        """Ask for the best so far. ``follow`` returns within half a second of it."""
        self._job.stop()

    def follow(self, told: Callable[[Progress], None]) -> Outcome:
        """Wait for the end of the search; each progress is told as it comes."""
        ended = self._job.follow(told)
        return Outcome(ended.found, ended.stopped, ended.error)


def _plan_of(progress: Progress) -> Plan | None:
    return progress.plan


def _solve(solve: Solve, day: Day, seconds: float, tell: ProgressCallback, should_stop: StopRequest) -> Plan:
    return solve(day, seconds=seconds, on_progress=tell, should_stop=should_stop)


def _work(work: Work[Told, Found], out: Connection, stop: Event, parent: int) -> None:
    # Ctrl-C goes to every process of the terminal; the parent decides when this one ends.
    signal.signal(signal.SIGINT, signal.SIG_IGN)

    def tell(progress: Told) -> None:
        out.send(progress)

    def told_to_stop() -> bool:
        return stop.is_set() or os.getppid() != parent

    # A pipe whose other end is gone has nobody to tell: the process simply ends.
    with contextlib.suppress(BrokenPipeError):
        try:
            out.send(_Done(work(tell, told_to_stop)))
        except ChanneldayError as error:
            out.send(_Failed(str(error)))
        except MemoryError:
            out.send(_Failed("the solver ran out of memory"))
        except BrokenPipeError:
            raise
        except Exception as error:  # whatever it is, the page says it in a line and the terminal shows no traceback
            out.send(_Failed(f"a fault in the solver ({type(error).__name__}: {one_line(str(error))})"))
    out.close()
