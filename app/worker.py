"""The solver in a process of its own, one for each search: it can be stopped at once, and may die alone.

Messages come through a pipe: a Progress for each step, then the finished Plan, or the text of what went wrong. The
parent keeps the best plan it has been told of, so that stopping never loses it.
"""

import contextlib
import multiprocessing
import os
import signal
from collections.abc import Callable
from dataclasses import dataclass
from multiprocessing.connection import Connection
from multiprocessing.synchronize import Event
from typing import Protocol

from solver.errors import ChanneldayError
from solver.one_line import one_line
from solver.problem import Day
from solver.progress import Progress, ProgressCallback, StopRequest
from solver.schedule import Plan

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
class _Failed:
    text: str


class Worker:
    """One search in one process. Start it, then call ``follow`` once, from a thread that may wait."""

    def __init__(self, day: Day, seconds: float, solve: Solve = search) -> None:
        context = multiprocessing.get_context("spawn")
        self._stop = context.Event()
        self._ours, theirs = context.Pipe(duplex=False)
        self._process = context.Process(target=_work, args=(day, seconds, solve, theirs, self._stop, os.getpid()))
        self._process.start()
        theirs.close()
        self._stopped = False

    def stop(self) -> None:
        """Ask for the best so far. ``follow`` returns within half a second of it."""
        self._stopped = True
        self._stop.set()

    def follow(self, told: Callable[[Progress], None]) -> Outcome:
        """Wait for the end of the search; each progress is told as it comes."""
        best: Plan | None = None
        patience = GRACE_S
        try:
            while True:
                if self._ours.poll(0.05):
                    message = self._ours.recv()
                    if isinstance(message, Plan):
                        return Outcome(message, self._stopped, "")
                    if isinstance(message, _Failed):
                        return Outcome(None, self._stopped, message.text)
                    best = message.plan or best
                    told(message)
                elif self._stopped:
                    patience -= 0.05
                if patience <= 0:
                    return Outcome(best, True, "" if best else "stopped before there was a first plan")
        except (EOFError, OSError):  # OSError: ended in the middle of a message
            self._process.join(1)
            if self._stopped:
                return Outcome(best, True, "" if best else "stopped before there was a first plan")
            return Outcome(None, False, f"the solver’s process ended by itself (code {self._process.exitcode})")
        finally:
            self._process.kill()
            self._process.join()
            self._ours.close()


def _work(day: Day, seconds: float, solve: Solve, out: Connection, stop: Event, parent: int) -> None:
    # Ctrl-C goes to every process of the terminal; the parent decides when this one ends.
    signal.signal(signal.SIGINT, signal.SIG_IGN)

    def tell(progress: Progress) -> None:
        out.send(progress)

    def told_to_stop() -> bool:
        return stop.is_set() or os.getppid() != parent

    # A pipe whose other end is gone has nobody to tell: the process simply ends.
    with contextlib.suppress(BrokenPipeError):
        try:
            out.send(solve(day, seconds=seconds, on_progress=tell, should_stop=told_to_stop))
        except ChanneldayError as error:
            out.send(_Failed(str(error)))
        except MemoryError:
            out.send(_Failed("the solver ran out of memory"))
        except BrokenPipeError:
            raise
        except Exception as error:  # whatever it is, the page says it in a line and the terminal shows no traceback
            out.send(_Failed(f"a fault in the solver ({type(error).__name__}: {one_line(str(error))})"))
    out.close()
