"""What held the days of a range back: one range at a time is looked at, in a process of its own.

The last one is kept for the page and its tables until the next; it is of the plans as they were then.
"""

import datetime
import threading
from dataclasses import dataclass, replace
from functools import partial

from app.db.store import Store
from app.queries.clinics import the_clinic
from app.queries.day_figures import planned_dates
from app.services.use.held_days import Count, Found, Progress, held_days
from app.worker import Ended, Job
from solver.errors import Fault, InputError

MOST_DAYS = 31


@dataclass(frozen=True, slots=True, kw_only=True)
class Looked:
    """``of``: how many days of the range have a plan; ``done`` of them were looked at. ``message``: how it ended."""

    first: datetime.date
    last: datetime.date
    of: int
    done: int = 0
    found: Found = ()
    cancelling: bool = False
    ended: bool = False
    message: str = ""


class HoldingBackRoom:
    """Safe to use from many threads."""

    def __init__(self, store: Store, count: Count = held_days) -> None:
        self._store = store
        self._count = count
        self._lock = threading.Lock()
        self._job: Job[Progress, Found] | None = None
        self._thread: threading.Thread | None = None
        self._current: Looked | None = None

    def current(self) -> Looked | None:
        """The range that is looked at, else the last one, else None."""
        return self._current

    def start(self, first: datetime.date, last: datetime.date) -> None:
        """Raises InputError where the range is none or too long, has no plan, or another is looked at."""
        if last < first:
            raise InputError([Fault("last", f"{last} is before {first}", "give a last date that is not before it")])
        if (last - first).days >= MOST_DAYS:
            raise InputError([Fault("last", f"that is more than {MOST_DAYS} days", "give an earlier last date")])
        with self._store.reading() as session:
            planned = planned_dates(session, the_clinic(session).id or 0, first, last)
        if not planned:
            raise InputError([Fault("first", "no day of this range has a plan", "choose other dates")])
        with self._lock:
            if self._current is not None and not self._current.ended:
                raise InputError([Fault("first", "a range is being looked at", "wait for its end, or cancel it")])
            data = self._store.engine.url.render_as_string(hide_password=False)
            data = data if self._store.path is None else str(self._store.path)
            work = partial(self._count, data, planned)
            try:
                job: Job[Progress, Found] = Job(work, _found_of, "stopped before the first day")
            except OSError as error:
                what = f"no process could be started ({error.strerror})"
                raise InputError([Fault("first", what, "close other programs and try again")]) from None
            self._job = job
            self._current = Looked(first=first, last=last, of=len(planned))
            self._thread = threading.Thread(target=self._follow, args=(job,), daemon=True)
            self._thread.start()

    def cancel(self) -> None:
        """Stop, and keep the days until then; nothing happens where none runs."""
        with self._lock:
            if self._job is not None and self._current is not None and not self._current.ended:
                self._current = replace(self._current, cancelling=True)
                self._job.stop()

    def wait(self, seconds: float) -> None:
        """Until the range was looked at, but no longer than the seconds."""
        if self._thread is not None:
            self._thread.join(seconds)

    def close(self) -> None:
        self.cancel()
        self.wait(5)

    def _follow(self, job: Job[Progress, Found]) -> None:
        ended = job.follow(self._told)
        with self._lock:
            assert self._current is not None
            found = ended.found or self._current.found
            self._current = replace(self._current, ended=True, found=found, message=_how(ended, self._current))

    def _told(self, progress: Progress) -> None:
        with self._lock:
            assert self._current is not None
            self._current = replace(self._current, done=progress.done, found=progress.found)


def _found_of(progress: Progress) -> Found | None:
    return progress.found or None


def _how(ended: Ended[Found], current: Looked) -> str:
    if ended.error:
        return f"{ended.error[:1].upper()}{ended.error[1:]}."
    if ended.stopped:
        return f"Stopped after {current.done} of {current.of} days; these are below."
    return "Finished."
