"""Annealing in processes of their own: it needs the interpreter all the time, and so do the proofs at times.

Each process is given the day and a plan, says better plans within a tenth of a second, and is told of better plans from
elsewhere. It ends by itself when its time is over or nobody listens any more.
"""

import os
import pickle
import queue
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import suppress
from typing import IO

from solver.annealing import Annealing, FromFellow, Heard, Proved, Task
from solver.changes import Change, changed, snapshot_of
from solver.compose import plan_of
from solver.problem import Day
from solver.schedule import Plan


class Beside:
    """One such process."""

    def __init__(self, task: Task) -> None:
        self._news: queue.SimpleQueue[Change] = queue.SimpleQueue()
        self._process = subprocess.Popen(
            [sys.executable, "-c", "from solver.beside import serve; serve()"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            env={**os.environ, "PYTHONPATH": os.pathsep.join(path for path in sys.path if path)},
        )
        self._to_tell: queue.SimpleQueue[Task | Heard | None] = queue.SimpleQueue()
        self._to_tell.put(task)
        self._threads = [threading.Thread(target=talk) for talk in (self._speak, self._listen)]
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
                if isinstance(heard, Change):
                    self._news.put(heard)

    def news(self) -> list[Change]:
        """The better plans that it found since this was asked last, each by what has changed since the one before."""
        found = []
        while not self._news.empty():
            found.append(self._news.get())
        return found

    def improves(self) -> bool:
        """False once it has ended and all its plans are here."""
        return self._threads[-1].is_alive()

    def tell(self, heard: Heard) -> None:
        self._to_tell.put(heard)

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
    assert isinstance(task, Task)
    told: queue.SimpleQueue[Heard] = queue.SimpleQueue()

    def listen() -> None:
        for message in heard:
            if isinstance(message, Heard):
                told.put(message)
        os._exit(0)  # nobody is there any more

    threading.Thread(target=listen, daemon=True).start()
    Annealing(task, told, lambda by: _say(out, by)).run()
    os._exit(0)  # without waiting for the thread that listens


class Team:
    """So many processes that work at one plan, and hear of each other."""

    def __init__(self, day: Day, plan: Plan, seed: int, seconds: float, count: int) -> None:
        self._day = day
        self._bests = [snapshot_of(plan)] * count
        self._members: list[Beside] = []
        try:
            for member in range(count):
                self._members.append(Beside(Task(day, plan, seed + member, seconds, member, count)))
        except OSError:
            self.end()
            raise

    def better_plans(self) -> Iterator[Plan]:
        """What they found since this was asked last; each tells the others of it."""
        for number, member in enumerate(self._members):
            for by in member.news():
                for fellow in self._members:
                    if fellow is not member:
                        fellow.tell(FromFellow(number, by))
                self._bests[number] = changed(self._bests[number], by)
                yield plan_of(self._day, *self._bests[number])

    def improves(self) -> bool:
        """False once all have ended and their plans are here."""
        return any(member.improves() for member in self._members)

    def tell(self, heard: Plan | Proved) -> None:
        """A plan found elsewhere, from which they go on where that is better than their own; or what is proved."""
        for member in self._members:
            member.tell(heard)

    def end(self) -> None:
        """End them at once."""
        for member in self._members:
            member.end()


def _say(stream: IO[bytes], message: object) -> None:
    pickle.dump(message, stream)
    stream.flush()


def _heard(stream: IO[bytes]) -> Iterator[object]:
    while True:
        try:
            yield pickle.load(stream)
        except (EOFError, OSError, pickle.UnpicklingError):
            return
