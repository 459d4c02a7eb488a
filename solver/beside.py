"""Ruin and recreate in a process of its own: it needs the interpreter all the time, and so do the proofs at times.

The process is given the day and a plan, says every better plan as soon as it has it, and is told of better plans from
elsewhere. It ends by itself when its time is over or nobody listens any more.
"""

import os
import pickle
import queue
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator, Mapping
from contextlib import suppress
from typing import IO, NamedTuple

from solver.compose import ledger_of, plan_of
from solver.improve import Improver
from solver.problem import Day
from solver.schedule import PlacedBreak, PlacedVisit, Plan

FIRST_ROUND_SECONDS = 0.04
"""How long the first round of annealing is, for each visit of the day; each further one is twice as long."""
WARM_AGAIN = 0.3
"""How far annealing counts as over as a further round begins."""


class _Task(NamedTuple):
    day: Day
    plan: Plan
    seed: int
    seconds: float


class _Placings(NamedTuple):
    visits: Mapping[str, PlacedVisit]
    breaks: Mapping[tuple[str, int], PlacedBreak]


class Beside:
    """One such process."""

    def __init__(self, day: Day, plan: Plan, seed: int, seconds: float) -> None:
        self._day = day
        self._news: queue.SimpleQueue[_Placings] = queue.SimpleQueue()
        self._process = subprocess.Popen(
            [sys.executable, "-c", "from solver.beside import serve; serve()"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            env={**os.environ, "PYTHONPATH": os.pathsep.join(path for path in sys.path if path)},
        )
        self._to_tell: queue.SimpleQueue[_Task | Plan | None] = queue.SimpleQueue()
        self._to_tell.put(_Task(day, plan, seed, seconds))
        self._threads = [threading.Thread(target=task) for task in (self._speak, self._listen)]
        for thread in self._threads:
            thread.start()

    def _speak(self) -> None:
        """In a thread, since the process may take its time to hear."""
        assert self._process.stdin is not None
        with suppress(OSError), self._process.stdin as stream:  # where it has ended there is nobody to tell
            while (message := self._to_tell.get()) is not None:
                _say(stream, message)

    def _listen(self) -> None:
        assert self._process.stdout is not None
        with self._process.stdout as stream:
            for heard in _heard(stream):
                if isinstance(heard, _Placings):
                    self._news.put(heard)

    def better_plans(self) -> list[Plan]:
        """The plans that it found since this was asked last, each better than the one before."""
        found = []
        while not self._news.empty():
            placings = self._news.get()
            found.append(plan_of(self._day, placings.visits, placings.breaks))
        return found

    def improves(self) -> bool:
        """False once it has ended and all its plans are here."""
        return self._threads[-1].is_alive()

    def tell(self, plan: Plan) -> None:
        """A plan found elsewhere, from which it goes on where that is better than its own."""
        self._to_tell.put(plan)

    def end(self) -> None:
        """End it at once; the threads that talk with it end with it."""
        self._process.kill()
        self._process.wait()
        self._to_tell.put(None)
        for thread in self._threads:
            thread.join()


def serve() -> None:
    """What the process does: reads its task from standard input, and improves."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for whoever started it
    source, out = sys.stdin.buffer, sys.stdout.buffer
    heard = _heard(source)
    task = next(heard)
    assert isinstance(task, _Task)
    plans: queue.SimpleQueue[Plan] = queue.SimpleQueue()

    def listen() -> None:
        for plan in heard:
            if isinstance(plan, Plan):
                plans.put(plan)
        os._exit(0)  # nobody is there any more

    threading.Thread(target=listen, daemon=True).start()
    _improve(task, plans, out)
    os._exit(0)  # without waiting for the thread that listens


def _improve(task: _Task, plans: "queue.SimpleQueue[Plan]", out: IO[bytes]) -> None:
    """Round after round of annealing, each from the best plan known by then, so that early plans are good ones too."""
    best, seed, warm = task.plan, task.seed, 0.0
    began = time.monotonic()
    for since, until in rounds(FIRST_ROUND_SECONDS * len(task.day.visits), task.seconds):
        improver = Improver(ledger_of(task.day, best), seed)
        while any(improver.best_scores) and (passed := time.monotonic() - began) < until:
            if improver.step(warm + (1.0 - warm) * (passed - since) / (until - since)):
                _say(out, _Placings(*improver.best))
        best = plan_of(task.day, *improver.best)
        while not plans.empty():
            best = min(best, plans.get(), key=lambda plan: tuple(plan.scores[aim] for aim in task.day.aims))
        seed, warm = seed + 2, WARM_AGAIN


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


def _say(stream: IO[bytes], message: object) -> None:
    pickle.dump(message, stream)
    stream.flush()


def _heard(stream: IO[bytes]) -> Iterator[object]:
    while True:
        try:
            yield pickle.load(stream)
        except (EOFError, OSError, pickle.UnpicklingError):
            return
