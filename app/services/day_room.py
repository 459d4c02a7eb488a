"""What the Day room shows of a date: the day as it is kept, or as it would be, with its patients by name."""

import datetime
import threading
from collections import Counter, OrderedDict
from collections.abc import Hashable, Mapping
from dataclasses import dataclass, replace
from typing import Literal

from app.db.store import Store
from app.queries.clinics import the_clinic
from app.queries.days import day_row
from app.queries.openings import set_up_mark
from app.queries.patients import names_of_codes, names_on_day
from app.services.days import kept_day, new_day
from app.services.placing import plan_with_breaks
from solver.errors import InputError
from solver.problem import Day
from solver.schedule import LeftOut, Plan

State = Literal["planned", "unplanned", "unbooked", "closed"]
_KEPT_IN_MIND = 12
"""Days that are held ready: reading one of 45 visits takes longer than showing it."""


@dataclass(frozen=True, slots=True, eq=False)
class Shown:
    """A date as it is shown; each reading of it is equal to itself only, so that what is made of it can be kept.

    ``planned``: ``plan`` is the one that is kept. ``unplanned``: visits are booked and no plan of them is kept; the
    plan here is empty. ``unbooked``: nothing of the date is kept; the day is what it would be, the plan has its breaks
    only. ``closed``: there is no such day; then, and where ``faults`` keep a day from being made, both are None.
    ``version``: of the day, 0 where none is kept. Patients go by their names, told apart where two have one name.
    """

    date: datetime.date
    state: State
    day: Day | None
    plan: Plan | None
    version: int
    faults: tuple[str, ...] = ()


class DayRoom:
    """Reads days to show; safe to use from many threads."""

    def __init__(self, store: Store) -> None:
        self._store = store
        self._lock = threading.Lock()
        self._read: OrderedDict[Hashable, Shown] = OrderedDict()

    def shown(self, date: datetime.date) -> Shown:
        """What there is of the date now. A day is read again only where anything was changed since."""
        with self._store.reading() as session:
            clinic_id = the_clinic(session).id or 0
            row = day_row(session, clinic_id, date)
            key: Hashable = (date, 0, set_up_mark(session, clinic_id))
            if row is not None:
                key = (date, row.version, names_on_day(session, row.id or 0))
        with self._lock:
            if key in self._read:
                self._read.move_to_end(key)
                return self._read[key]
        shown = self._shown(date)
        with self._lock:
            self._read[key] = shown
            if len(self._read) > _KEPT_IN_MIND:
                self._read.popitem(last=False)
        return shown

    def _shown(self, date: datetime.date) -> Shown:
        kept = kept_day(self._store, date)
        if kept is None:
            return self._unkept(date)
        day = named_day(self._store, kept.day)
        if kept.plan is not None:
            return Shown(date, "planned", day, kept.plan, kept.version)
        asked = tuple(LeftOut(id=visit.id, reasons=()) for visit in day.visits)
        return Shown(date, "unplanned", day, Plan(date=date, status="feasible", left_out=asked), kept.version)

    def _unkept(self, date: datetime.date) -> Shown:
        try:
            day = new_day(self._store, date)
        except InputError as error:
            return Shown(date, "unbooked", None, None, 0, tuple(str(fault) for fault in error.faults))
        if day is None:
            return Shown(date, "closed", None, None, 0)
        plan = plan_with_breaks(day) or Plan(date=date, status="feasible")
        return Shown(date, "unbooked", day, plan, 0)


def named_day(store: Store, day: Day) -> Day:
    """The day with its patients by name, to be shown and not kept."""
    with store.reading() as session:
        codes = sorted({visit.patient for visit in day.visits})
        return with_names(day, names_of_codes(session, the_clinic(session).id or 0, codes))


def with_names(day: Day, names: Mapping[str, str]) -> Day:
    """The day with its patients by name; a name that several have is followed by the patient's code."""
    patients = {visit.patient for visit in day.visits}
    often = Counter(names.get(code, code) for code in patients)
    shown = {code: names.get(code, code) for code in patients}
    shown = {code: name if often[name] == 1 else f"{name} ({code})" for code, name in shown.items()}
    return replace(day, visits=tuple(replace(visit, patient=shown[visit.patient]) for visit in day.visits))
