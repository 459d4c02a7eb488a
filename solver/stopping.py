"""Stopping a library's search from outside while it runs."""

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from solver.progress import StopRequest

POLL_SECONDS = 0.05


@contextmanager
def stopping(stop: Callable[[], object], should_stop: StopRequest) -> Iterator[None]:
    """Asks now and then whether to stop, in a thread of its own, and calls ``stop`` once the answer is yes."""
    done = threading.Event()

    def watch() -> None:
        while not done.wait(POLL_SECONDS):
            if should_stop():
                stop()

    thread = threading.Thread(target=watch, daemon=True)
    thread.start()
    try:
        yield
    finally:
        done.set()
        thread.join()
