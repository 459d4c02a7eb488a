"""What a change does to each day, kept in mind from when it was told until it is saved, so that it is found once.

What was found of a day counts as long as the day is in the same version, saved at the same instant, and as the set-up
says the same of its date before the change and after it: all else that it is found from never changes.
"""

import datetime
import threading
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from weakref import WeakKeyDictionary

from app.db.store import Store
from app.queries.audits import saved_at
from app.queries.days import day_rows_from
from app.queries.new_days import Frame, frame_on
from app.queries.set_up_reading import SetUp
from app.services.days import KeptDay, kept
from app.services.setup.checking import Progress
from app.services.setup.dropping import After, after_the_change
from app.services.setup.work import Work


@dataclass(frozen=True, slots=True)
class Foreseen:
    """A day as it is kept, and what the change makes of it."""

    version: int
    saved_at: datetime.datetime | None
    frames: tuple[Frame, Frame]
    known: KeptDay
    after: After

    @property
    def is_changed(self) -> bool:
        return self.after.day != self.known.day


ById = Mapping[int, Foreseen]
"""By the id of the day's row."""

_last: WeakKeyDictionary[Store, ById] = WeakKeyDictionary()
_lock = threading.Lock()


def in_mind(store: Store) -> ById:
    """What was found last, whatever change it was of."""
    with _lock:
        return _last.get(store, {})


def keep_in_mind(store: Store, found: ById) -> None:
    with _lock:
        _last[store] = found


def foresee(work: Work, now: SetUp, in_mind: ById, progress: Progress) -> Iterator[tuple[int, Foreseen]]:
    """Each day from today on of whose date the set-up says something else now, by date, with the id of its row."""
    frames = {}
    rows = day_rows_from(work.session, work.clinic_id, work.today)
    for row in rows:
        before, after = frame_on(work.set_up, row.date), frame_on(now, row.date)
        if before != after:
            frames[row.id or 0] = (before, after)
    saved = saved_at(work.session, list(frames))
    progress.begin("checking", len(frames))
    for row in rows:
        id = row.id or 0
        if id not in frames:
            continue
        stamp = (row.version, saved.get(id), frames[id])
        one = in_mind.get(id)
        if one is None or (one.version, one.saved_at, one.frames) != stamp:
            known = kept(work.session, row)
            one = Foreseen(*stamp, known, after_the_change(known.day, known.plan, *frames[id]))
        progress.step()
        yield id, one
