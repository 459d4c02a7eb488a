"""How far the saving of a change is, for who waits for it, and the end of it where they do not want to any more."""

import threading
from collections import OrderedDict
from dataclasses import dataclass, field
from typing import Literal

from solver.errors import ChanneldayError

Stage = Literal["checking", "saving"]
_KEPT = 64


class ChangeCancelledError(ChanneldayError):
    """Whoever waited for the change has ended it; nothing of it is kept."""

    def __init__(self) -> None:
        super().__init__("cancelled: nothing was changed")


@dataclass(slots=True)
class Progress:
    """``days``: how many there are; ``done``: of them, in this stage."""

    stage: Stage = "checking"
    days: int = 0
    done: int = 0
    cancelled: bool = field(default=False, repr=False)

    def begin(self, stage: Stage, days: int) -> None:
        self.stage, self.days, self.done = stage, days, 0
        self.look()

    def step(self) -> None:
        """One more day is done. Raises ChangeCancelledError where that is not wanted any more."""
        self.done += 1
        self.look()

    def look(self) -> None:
        """Raises ChangeCancelledError where it is not wanted any more."""
        if self.cancelled:
            raise ChangeCancelledError


class Checking:
    """The changes that are being saved in this process, by the key of the form that was sent."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._running: OrderedDict[str, Progress] = OrderedDict()

    def begin(self, key: str) -> Progress:
        """A change under the key; without a key nobody can ask about it."""
        progress = Progress()
        if key:
            with self._lock:
                self._running[key] = progress
                while len(self._running) > _KEPT:
                    self._running.popitem(last=False)
        return progress

    def of(self, key: str) -> Progress | None:
        with self._lock:
            return self._running.get(key)

    def cancel(self, key: str) -> None:
        """Also right where it is over already."""
        progress = self.of(key)
        if progress is not None:
            progress.cancelled = True

    def end(self, key: str) -> None:
        with self._lock:
            self._running.pop(key, None)
