"""What every change of the set-up is and works with: the clinic as it was found, and what was done to which record."""

import datetime
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Protocol

from sqlmodel import Session

from app.errors import StaleSetUpError
from app.models import Audit, Clinic
from app.queries.audits import last_audits
from app.queries.set_up_reading import Head, Kind, SetUp, Thing, set_up_of
from app.queries.set_up_writing import head_of
from solver.errors import Fault, InputError

Values = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Work:
    """A transaction that may write. ``set_up``: as it was before the change; ``today`` by the clinic's zone."""

    session: Session
    clinic: Clinic
    set_up: SetUp
    today: datetime.date

    @property
    def clinic_id(self) -> int:
        assert self.clinic.id is not None
        return self.clinic.id

    def now(self) -> SetUp:
        """What is set up by now, with what was written of the change."""
        return set_up_of(self.session, self.clinic)

    def thing(self, kind: Kind, code: str, read: int) -> Thing:
        """The thing in the version that was read. Raises InputError where there is none, StaleSetUpError."""
        thing = self.set_up.thing(kind, code)
        if thing is None:
            raise InputError([Fault("code", f"there is no {kind} {code!r}", "read the page again")])
        self.refuse_stale(f"{kind} {code}", read, thing.version)
        return thing

    def refuse_stale(self, record: str, read: int, now: int) -> None:
        if read != now:
            audits = last_audits(self.session, self.clinic_id, record, max(0, now - read))
            raise StaleSetUpError(record, read, now, map(_line, audits))

    def next_version(self, kind: Kind, id: int) -> Head:
        """The thing's row, its version up by one."""
        row = head_of(self.session, kind, id)
        row.set_up_version += 1
        self.session.add(row)
        self.session.flush()
        return row

    def next_of_clinic(self) -> None:
        self.clinic.set_up_version += 1
        self.session.add(self.clinic)
        self.session.flush()


def _line(audit: Audit) -> str:
    return f"{audit.actor} {audit.action} {audit.record}: {', '.join({**audit.before, **audit.after})}"


@dataclass(frozen=True, slots=True)
class Made:
    """What was done, for the audit. ``before`` and ``after``: what was changed only; both empty: nothing was."""

    record: str
    action: str
    version: int
    before: Values = field(default_factory=dict)
    after: Values = field(default_factory=dict)

    @property
    def is_nothing(self) -> bool:
        return not self.before and not self.after


def differing(record: str, action: str, version: int, old: Values, new: Values) -> Made:
    keys = [key for key in {**old, **new} if old.get(key) != new.get(key)]
    return Made(
        record,
        action,
        version,
        {key: old[key] for key in keys if key in old},
        {key: new[key] for key in keys if key in new},
    )


class Change(Protocol):
    """A change of the set-up. ``make`` writes it; raises InputError with every fault, and StaleSetUpError."""

    def make(self, work: Work) -> Made: ...
