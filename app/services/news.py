"""News of days: whoever has a day on show learns within a second that it was changed, by whichever process.

Two kinds are told: a new version of the day, for pages that show its plan, and a new mark, which is another one with
every event of the Floor too.
"""

import asyncio
import contextlib
import datetime
from collections import defaultdict
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager

from starlette.concurrency import run_in_threadpool

from app.db.store import Store
from app.errors import StoreError
from app.queries.audits import days_changed_since, newest_audit
from app.queries.clinics import the_clinic
from app.queries.days import version_of
from app.queries.live_events import dates_with_more, newest_of_all
from app.services.floor.room import mark_of

LOOK_EVERY_S = 0.25


class News:
    """Looks into the audit four times a second while anybody listens, once for all of them."""

    def __init__(self, store: Store, every: float = LOOK_EVERY_S) -> None:
        self._store = store
        self._every = every
        self._listening: dict[datetime.date, set[asyncio.Event]] = defaultdict(set)
        self._looking: asyncio.Task[None] | None = None
        self._seen = (0, 0, 0)
        self._closed = False

    async def versions(self, date: datetime.date, seen: str) -> AsyncIterator[str]:
        """Each version of the day that is not the one last seen, as they come; ends when the app does."""
        async for version in self._changes(date, seen, self._version):
            yield version

    async def marks(self, date: datetime.date, seen: str) -> AsyncIterator[str]:
        """The same of the day with what happens on the Floor."""
        async for mark in self._changes(date, seen, self._mark):
            yield mark

    async def _changes(
        self, date: datetime.date, seen: str, newest: Callable[[datetime.date], str]
    ) -> AsyncIterator[str]:
        async with self._listener(date) as changed:
            while not self._closed:
                found = await run_in_threadpool(newest, date)
                if found != seen:
                    seen = found
                    yield found
                await changed.wait()
                changed.clear()

    async def close(self) -> None:
        """End every listening."""
        self._closed = True
        if self._looking is not None:
            self._looking.cancel()
            with contextlib.suppress(asyncio.CancelledError):
                await self._looking
        self._tell(set(self._listening))

    @asynccontextmanager
    async def _listener(self, date: datetime.date) -> AsyncIterator[asyncio.Event]:
        changed = asyncio.Event()
        self._listening[date].add(changed)
        try:
            if self._looking is None or self._looking.done():
                self._looking = asyncio.create_task(self._look())
            yield changed
        finally:
            self._listening[date].discard(changed)
            if not self._listening[date]:
                del self._listening[date]

    async def _look(self) -> None:
        self._seen = await run_in_threadpool(self._newest)
        self._tell(set(self._listening))  # whatever came before the first look
        while self._listening:
            await asyncio.sleep(self._every)
            with contextlib.suppress(StoreError):  # told at the next look that finds the database again
                self._tell(await run_in_threadpool(self._changed))

    def _tell(self, dates: set[datetime.date]) -> None:
        for date in dates:
            for event in self._listening.get(date, ()):
                event.set()

    def _version(self, date: datetime.date) -> str:
        with self._store.reading() as session:
            return str(version_of(session, the_clinic(session).id or 0, date))

    def _mark(self, date: datetime.date) -> str:
        with self._store.reading() as session:
            return mark_of(session, the_clinic(session).id or 0, date)

    def _newest(self) -> tuple[int, int, int]:
        with self._store.reading() as session:
            return newest_audit(session, the_clinic(session).id or 0), *newest_of_all(session)

    def _changed(self) -> set[datetime.date]:
        with self._store.reading() as session:
            clinic_id = the_clinic(session).id or 0
            newest = newest_audit(session, clinic_id), *newest_of_all(session)
            if newest == self._seen:
                return set()
            audit, event, step = self._seen
            changed = days_changed_since(session, clinic_id, audit)
            changed |= dates_with_more(session, clinic_id, event, step)
            self._seen = newest
            return changed
