"""What one more, or one less, of something is worth on a day: one comparison at a time, in a process of its own.

Nothing of the day is changed by it. In the plans that are compared only visits that are fixed stay where they are.
"""

import datetime
import threading
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

from app.db.store import Store
from app.queries.clinics import the_clinic
from app.queries.days import day_rows_from
from app.services.days import kept_day
from app.worker import Ended, Job
from solver.errors import Fault, InputError
from solver.problem import Day
from solver.progress import StopRequest
from solver.variants import Kind, variants
from solver.whatif import whatif

MOST_SECONDS = 60
GRACE_S = 2.0
"""It ends the searches of its own that run; then it hands in what was compared."""

Found = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Progress:
    """``found``: the comparison as far as it is; empty before the day itself is planned."""

    done: int
    found: Found


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """``of``: how many days are planned for it, the day itself among them. ``message``: how it ended."""

    date: datetime.date
    kinds: tuple[Kind, ...]
    seconds: int
    of: int
    began: float
    done: int = 0
    found: Found | None = None
    cancelling: bool = False
    ended: bool = False
    message: str = ""


Compare = Callable[[Day, int, tuple[Kind, ...], Callable[[Progress], None], StopRequest], Found | None]


class OneMoreRoom:
    """Safe to use from many threads."""

    def __init__(self, store: Store, compare: Compare | None = None) -> None:
        self._store = store
        self._compare: Compare = compare or compared_day
        self._lock = threading.Lock()
        self._job: Job[Progress, Found] | None = None
        self._thread: threading.Thread | None = None
        self._current: Comparison | None = None

    def current(self) -> Comparison | None:
        """The running comparison, else the last one, else None."""
        return self._current

    def start(self, date: datetime.date, kinds: tuple[Kind, ...], seconds: int) -> None:
        """Raises InputError where one runs, nobody is booked, or nothing of the kinds is in the clinic."""
        kept = kept_day(self._store, date)
        if kept is None or not kept.day.visits:
            raise InputError([Fault("day", f"nobody is booked on {date}", "choose a day with visits")])
        count = sum(variant.kind in kinds for variant in variants(kept.day))
        if not count:
            raise InputError([Fault("kinds", "the day has nothing of what is chosen", "choose something else")])
        with self._lock:
            if self._current is not None and not self._current.ended:
                raise InputError([Fault("day", "a comparison is running", "wait for its end, or cancel it")])
            work = partial(self._compare, kept.day, seconds, kinds)
            try:
                job: Job[Progress, Found] = Job(work, _found_of, "stopped before the day was planned", GRACE_S)
            except OSError as error:
                what = f"no process could be started ({error.strerror})"
                raise InputError([Fault("day", what, "close other programs and try again")]) from None
            self._job = job
            began = time.monotonic()
            self._current = Comparison(date=date, kinds=kinds, seconds=seconds, of=count + 1, began=began)
            self._thread = threading.Thread(target=self._follow, args=(job,), daemon=True)
            self._thread.start()

    def suggested(self, today: datetime.date) -> datetime.date:
        """Today or the next day that somebody is booked on; today where there is none."""
        with self._store.reading() as session:
            rows = day_rows_from(session, the_clinic(session).id or 0, today)
            return min((row.date for row in rows), default=today)

    def cancel(self) -> None:
        """Stop, and keep what was compared; nothing happens where none runs."""
        with self._lock:
            if self._job is not None and self._current is not None and not self._current.ended:
                self._current = replace(self._current, cancelling=True)
                self._job.stop()

    def wait(self, seconds: float) -> None:
        """Until the comparison has ended, but no longer than the seconds."""
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
            self._current = replace(self._current, ended=True, found=found, message=_how(ended))

    def _told(self, progress: Progress) -> None:
        with self._lock:
            assert self._current is not None
            self._current = replace(self._current, done=progress.done, found=progress.found or None)


def compared_day(
    day: Day, seconds: int, kinds: tuple[Kind, ...], tell: Callable[[Progress], None], should_stop: StopRequest
) -> Found | None:
    """The work of the process. Two searches run side by side."""
    done = 0

    def found(so_far: Found) -> None:
        nonlocal done
        done += 1
        tell(Progress(done, so_far))

    whole = whatif(day, seconds=seconds, kinds=kinds, workers=2, found=found, should_stop=should_stop)
    return whole if whole is None or whole["day"] else {}


def _found_of(progress: Progress) -> Found | None:
    return progress.found or None


def _how(ended: Ended[Found]) -> str:
    if ended.error:
        return f"{ended.error[:1].upper()}{ended.error[1:]}."
    if ended.found is None:
        return "The day itself has no plan: what is fixed cannot all stand."
    if ended.stopped:
        return (
            "Stopped; what was compared until then is below." if ended.found else "Stopped before anything was found."
        )
    return "Finished."
