"""What held the days of a range back: one range at a time is looked at, in a process of its own.

The last one is kept for the page and its tables until the next; it is of the plans as they were then.
"""

import datetime
from dataclasses import dataclass
from functools import partial

from app.db.store import Store
from app.queries.clinics import the_clinic
from app.queries.day_figures import planned_dates
from app.queries.days import version_of
from app.services.use.held_days import Count, Found, held_days
from app.services.use.one_job import Asked, OneJob, error_words
from app.worker import Ended
from solver.errors import Fault, InputError

MOST_DAYS = 31


@dataclass(frozen=True, slots=True, kw_only=True)
class Looked(Asked[Found]):
    """A range. ``of``: how many of its days have a plan; ``done`` of them were looked at."""

    first: datetime.date
    last: datetime.date
    found: Found = ()


class HoldingBackRoom(OneJob[Looked, Found]):
    field = "first"
    busy = "a range is being looked at"

    def __init__(self, store: Store, count: Count = held_days) -> None:
        super().__init__()
        self._store = store
        self._count = count

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
        work = partial(self._count, self._store.address, planned)
        self._begin(Looked(first=first, last=last, of=len(planned)), work, "stopped before the first day")

    def changed(self, looked: Looked) -> bool:
        """Whether a day of what was found was changed since it was looked at."""
        with self._store.reading() as session:
            clinic_id = the_clinic(session).id or 0
            return any(version_of(session, clinic_id, day.date) != day.version for day in looked.found)

    def _how(self, ended: Ended[Found], current: Looked) -> str:
        if ended.stopped and not ended.error:
            return f"Stopped after {current.done} of {current.of} days; these are below."
        return error_words(ended) or "Finished."
