"""A search in a thread of its own, so that the main thread is free to hear Ctrl-C."""

import os
import signal
import sys
from collections.abc import Callable
from threading import Event, Thread
from types import FrameType

from solver.progress import StopRequest
from solver.schedule import Plan

EXIT_INTERRUPTED = 130


def run_until_interrupted(search: Callable[[StopRequest], Plan], on_interrupt: Callable[[], None]) -> Plan:
    """The plan of ``search(should_stop)``. The first Ctrl-C makes it true; the second ends all."""
    stop = Event()
    job = _Job(lambda: search(stop.is_set))

    def interrupted(_signal: int, _frame: FrameType | None) -> None:
        if stop.is_set():
            # The search cannot be ended from outside its own code, and nothing has been written yet.
            sys.stderr.flush()
            os._exit(EXIT_INTERRUPTED)
        stop.set()
        on_interrupt()

    before = signal.signal(signal.SIGINT, interrupted)
    try:
        job.start()
        while job.is_alive():
            job.join(0.2)
    finally:
        signal.signal(signal.SIGINT, before)
    return job.result()


class _Job(Thread):
    """Keeps what the search gave or raised."""

    def __init__(self, search: Callable[[], Plan]) -> None:
        super().__init__(daemon=True, name="search")
        self._search = search
        self._plan: Plan | None = None
        self._error: BaseException | None = None

    def run(self) -> None:
        try:
            self._plan = self._search()
        except BaseException as error:  # handed to the caller's thread, where it is raised
            self._error = error

    def result(self) -> Plan:
        if self._error is not None:
            raise self._error
        assert self._plan is not None
        return self._plan
