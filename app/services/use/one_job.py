"""A room in which one thing at a time is worked out in a process of its own: followed, stopped, kept to be shown."""

import threading
from abc import ABC, abstractmethod
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any, Generic, TypeVar

from app.worker import GRACE_S, Ended, Job
from solver.errors import Fault, InputError
from solver.progress import StopRequest

FoundT = TypeVar("FoundT")


@dataclass(frozen=True, slots=True)
class Progress(Generic[FoundT]):
    """``done``: how many are done; ``found``: what was found by them, empty before anything was."""

    done: int
    found: FoundT


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked(Generic[FoundT]):
    """What was asked for, and how far it is: ``done`` ``of`` so many. ``message``: how it ended."""

    of: int
    done: int = 0
    found: FoundT | None = None
    cancelling: bool = False
    ended: bool = False
    message: str = ""


AskedT = TypeVar("AskedT", bound=Asked[Any])


class OneJob(ABC, Generic[AskedT, FoundT]):
    """Safe to use from many threads. ``field``: which field of its form is to blame where nothing can be begun."""

    field: str
    busy: str
    """What is said to whoever asks while something is worked out."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._job: Job[Progress[FoundT], FoundT] | None = None
        self._thread: threading.Thread | None = None
        self._current: AskedT | None = None

    def current(self) -> AskedT | None:
        """What is worked out, else what was last, else None."""
        return self._current

    def cancel(self) -> None:
        """Stop, and keep what was found until then; nothing happens where nothing is worked out."""
        with self._lock:
            if self._job is not None and self._current is not None and not self._current.ended:
                self._current = replace(self._current, cancelling=True)
                self._job.stop()

    def wait(self, seconds: float) -> None:
        """Until it has ended, but no longer than the seconds."""
        if self._thread is not None:
            self._thread.join(seconds)

    def close(self) -> None:
        self.cancel()
        self.wait(5)

    def _begin(
        self,
        asked: AskedT,
        work: Callable[[Callable[[Progress[FoundT]], None], StopRequest], FoundT | None],
        nothing: str,
        grace: float = GRACE_S,
    ) -> None:
        """``nothing`` and ``grace``: of ``Job``. Raises InputError where another runs, or no process can be started."""
        with self._lock:
            if self._current is not None and not self._current.ended:
                raise InputError([Fault(self.field, self.busy, "wait for its end, or cancel it")])
            try:
                job: Job[Progress[FoundT], FoundT] = Job(work, _found_of, nothing, grace)
            except OSError as error:
                what = f"no process could be started ({error.strerror})"
                raise InputError([Fault(self.field, what, "close other programs and try again")]) from None
            self._job, self._current = job, asked
            self._thread = threading.Thread(target=self._follow, args=(job,), daemon=True)
            self._thread.start()

    @abstractmethod
    def _how(self, ended: Ended[FoundT], current: AskedT) -> str:
        """How it ended, in words."""

    def _follow(self, job: Job[Progress[FoundT], FoundT]) -> None:
        ended = job.follow(self._told)
        with self._lock:
            assert self._current is not None
            found = ended.found or self._current.found
            message = self._how(ended, self._current)
            self._current = replace(self._current, ended=True, found=found, message=message)

    def _told(self, progress: Progress[FoundT]) -> None:
        with self._lock:
            assert self._current is not None
            found = progress.found or self._current.found
            self._current = replace(self._current, done=progress.done, found=found)


def _found_of(progress: Progress[FoundT]) -> FoundT | None:
    return progress.found or None


def error_words(ended: Ended[Any]) -> str:
    """What went wrong, as a sentence; empty where nothing did."""
    return f"{ended.error[:1].upper()}{ended.error[1:]}." if ended.error else ""
