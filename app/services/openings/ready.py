"""Days held ready to be asked where a visit could be, so that an answer comes while the desk types."""

import datetime
import threading
from collections import OrderedDict
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Literal

from sqlmodel import Session

from app.clock import days_after
from app.db.store import Store
from app.models import Clinic
from app.queries.clinics import the_clinic
from app.queries.days import day_row
from app.queries.new_days import new_day_by
from app.queries.openings import set_up_mark, versions_between
from app.queries.set_up_reading import SetUp, set_up_of
from app.services.days import kept
from app.services.placing import plan_with_breaks
from solver.errors import InputError
from solver.offering.loaded import LoadedPlan
from solver.problem import Day
from solver.schedule import Plan

State = Literal["planned", "unbooked", "unplanned", "closed", "faulty"]
MOST_DAYS = 28
_KEPT_IN_MIND = 80


@dataclass(frozen=True, slots=True)
class ReadyDay:
    """A date as the desk may book it.

    ``planned``: a plan of it is kept. ``unbooked``: nothing is kept; the day is as weekly hours make it, the plan has
    its breaks only. Nothing can be booked where visits are asked for and not planned (``unplanned``), where the clinic
    is ``closed``, or where no right day can be made (``faulty``). ``version``: 0 where nothing is kept.
    """

    date: datetime.date
    state: State
    version: int
    day: Day | None = None
    plan: Plan | None = None
    loaded: LoadedPlan | None = None
    lock: threading.Lock = field(default_factory=threading.Lock, compare=False, repr=False)

    @contextmanager
    def asked(self) -> Iterator[LoadedPlan]:
        """The loaded plan, for one asker at a time: while a question is answered the ledger is in use."""
        assert self.loaded is not None
        with self.lock:
            yield self.loaded


class ReadyDays:
    """Reads days and loads their plans, again only where anything was changed since; safe to use from many threads."""

    def __init__(self, store: Store) -> None:
        self.store = store
        self._lock = threading.Lock()
        self._days: OrderedDict[tuple[datetime.date, int, tuple[int, ...]], ReadyDay] = OrderedDict()
        self._set_up: tuple[tuple[int, ...], SetUp] | None = None

    def between(self, first: datetime.date, last: datetime.date) -> Sequence[ReadyDay]:
        """Every date from the first to the last, at most MOST_DAYS of them."""
        last = min(last, days_after(first, MOST_DAYS - 1))
        with self.store.reading() as session:
            clinic = the_clinic(session)
            versions = versions_between(session, clinic.id or 0, first, last)
            mark = set_up_mark(session, clinic.id or 0)
            dates = [days_after(first, n) for n in range((last - first).days + 1)]
            return [self._ready(session, clinic, date, versions.get(date, 0), mark) for date in dates]

    def on(self, date: datetime.date) -> ReadyDay:
        return self.between(date, date)[0]

    def _ready(
        self, session: Session, clinic: Clinic, date: datetime.date, version: int, mark: tuple[int, ...]
    ) -> ReadyDay:
        key = (date, version, () if version else mark)
        with self._lock:
            if key in self._days:
                self._days.move_to_end(key)
                return self._days[key]
        found = self._kept(session, clinic, date) if version else self._unkept(session, clinic, date, mark)
        with self._lock:
            self._days[key] = found
            if len(self._days) > _KEPT_IN_MIND:
                self._days.popitem(last=False)
        return found

    def _kept(self, session: Session, clinic: Clinic, date: datetime.date) -> ReadyDay:
        row = day_row(session, clinic.id or 0, date)
        assert row is not None
        try:
            known = kept(session, row)
        except InputError:
            return ReadyDay(date, "faulty", row.version)
        plan = known.plan
        if plan is None and not known.day.visits:
            plan = plan_with_breaks(known.day)
        if plan is None:
            return ReadyDay(date, "unplanned", known.version, known.day)
        return _loaded(date, "planned", known.version, known.day, plan)

    def _unkept(self, session: Session, clinic: Clinic, date: datetime.date, mark: tuple[int, ...]) -> ReadyDay:
        if self._set_up is None or self._set_up[0] != mark:
            self._set_up = (mark, set_up_of(session, clinic))
        try:
            day = new_day_by(self._set_up[1], date)
        except InputError:
            return ReadyDay(date, "faulty", 0)
        if day is None:
            return ReadyDay(date, "closed", 0)
        plan = plan_with_breaks(day)
        return ReadyDay(date, "faulty", 0, day) if plan is None else _loaded(date, "unbooked", 0, day, plan)


def _loaded(date: datetime.date, state: State, version: int, day: Day, plan: Plan) -> ReadyDay:
    try:
        return ReadyDay(date, state, version, day, plan, LoadedPlan(day, plan))
    except InputError:
        return ReadyDay(date, "faulty", version, day)
