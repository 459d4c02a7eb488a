"""What one more, or one less, of something is worth on a day: one comparison at a time, in a process of its own.

Nothing of the day is changed by it. In the plans that are compared only visits that are fixed stay where they are.
"""

import datetime
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from typing import Any

from app.db.store import Store
from app.queries.clinics import the_clinic
from app.queries.days import day_rows_from
from app.services.days import kept_day
from app.services.use.one_job import Asked, OneJob, Progress, error_words
from app.worker import Ended
from solver.errors import Fault, InputError
from solver.problem import Day
from solver.progress import StopRequest
from solver.variants import Kind, variants
from solver.whatif import whatif

MOST_SECONDS = 60
GRACE_S = 2.0
"""It ends the searches of its own that run; then it hands in what was compared."""

Found = Mapping[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison(Asked[Found]):
    """``of``: how many days are planned for it, the day itself among them."""

    date: datetime.date
    seconds: int


Compare = Callable[[Day, int, tuple[Kind, ...], Callable[[Progress[Found]], None], StopRequest], Found | None]


class OneMoreRoom(OneJob[Comparison, Found]):
    field = "day"
    busy = "a comparison is running"

    def __init__(self, store: Store, compare: Compare | None = None) -> None:
        super().__init__()
        self._store = store
        self._compare: Compare = compare or compared_day

    def start(self, date: datetime.date, kinds: tuple[Kind, ...], seconds: int) -> None:
        """Raises InputError where one runs, nobody is booked, or nothing of the kinds is in the clinic."""
        kept = kept_day(self._store, date)
        if kept is None or not kept.day.visits:
            raise InputError([Fault("day", f"nobody is booked on {date}", "choose a day with visits")])
        count = sum(variant.kind in kinds for variant in variants(kept.day))
        if not count:
            raise InputError([Fault("kinds", "the day has nothing of what is chosen", "choose something else")])
        asked = Comparison(date=date, seconds=seconds, of=count + 1)
        work = partial(self._compare, kept.day, seconds, kinds)
        self._begin(asked, work, "stopped before the day was planned", GRACE_S)

    def suggested(self, today: datetime.date) -> datetime.date:
        """Today or the next day that somebody is booked on; today where there is none."""
        with self._store.reading() as session:
            rows = day_rows_from(session, the_clinic(session).id or 0, today)
            return min((row.date for row in rows), default=today)

    def _how(self, ended: Ended[Found], current: Comparison) -> str:
        if ended.error:
            return error_words(ended)
        if ended.found is None:
            return "The day itself has no plan: what is fixed cannot all stand."
        if not ended.stopped:
            return "Finished."
        return (
            "Stopped; what was compared until then is below." if ended.found else "Stopped before anything was found."
        )


def compared_day(
    day: Day, seconds: int, kinds: tuple[Kind, ...], tell: Callable[[Progress[Found]], None], should_stop: StopRequest
) -> Found | None:
    """The work of the process. Two searches run side by side."""
    done = 0

    def found(so_far: Found) -> None:
        nonlocal done
        done += 1
        tell(Progress(done, so_far))

    whole = whatif(day, seconds=seconds, kinds=kinds, workers=2, found=found, should_stop=should_stop)
    return whole if whole is None or whole["day"] else {}
