"""What a change of the set-up breaks, and making it.

The change is written, each day from today on is brought to what the set-up then says, and its plan is verified. To be
told what it breaks, the change is taken back before the days are looked at, so that nobody waits for that; to make it,
all is done in one transaction, provided that it breaks just what the caller was shown. What was found of a day before
is taken where the day is still the same. Days before today never change, nor do days that it is not about.
"""

import datetime
import json
from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import sha256
from zoneinfo import ZoneInfo

from sqlmodel import Session

from app.clock import Clock, wall_clock
from app.db.store import Store
from app.queries.audits import add_audit
from app.queries.clinics import the_clinic
from app.queries.set_up_reading import set_up_of
from app.services.days import KeptDay, save_day_within
from app.services.setup.checking import Progress
from app.services.setup.dropping import After, Reasons
from app.services.setup.foreseeing import Foreseen, foresee, in_mind, keep_in_mind
from app.services.setup.work import Change, Made, Work
from solver.clock import clock as shown_clock
from solver.errors import ChanneldayError


@dataclass(frozen=True, slots=True)
class BrokenVisit:
    """A booked visit that would no longer hold. ``start``: ``"09:30"``; None where no plan places it.

    ``patient``: their code. ``reasons``: each the ``rule`` that it would break and a ``text``.
    """

    date: datetime.date
    visit: str
    patient: str
    start: str | None
    reasons: Reasons


@dataclass(frozen=True, slots=True)
class Effects:
    """``days``: those that get another version; ``broken``: by date, then by start."""

    days: tuple[datetime.date, ...]
    broken: tuple[BrokenVisit, ...]

    @property
    def digest(self) -> str:
        """What a caller passes on who was shown ``broken``; ``""`` where there is nothing to show."""
        if not self.broken:
            return ""
        listed = [
            [f"{one.date}", one.visit, one.start, [[reason.rule, reason.text] for reason in one.reasons]]
            for one in self.broken
        ]
        return sha256(json.dumps(listed).encode("utf-8", "surrogatepass")).hexdigest()


@dataclass(frozen=True, slots=True)
class Saved:
    """``version``: of what was changed, as it is now."""

    version: int
    effects: Effects


class BreaksVisitsError(ChanneldayError):
    """The change breaks other visits than the caller was shown, and is not made. ``effects``: which it breaks now."""

    def __init__(self, effects: Effects) -> None:
        self.effects = effects
        super().__init__(f"{len(effects.broken)} booked visits would no longer hold; look at them first")


def effects_of(store: Store, change: Change, *, clock: Clock = wall_clock, progress: Progress | None = None) -> Effects:
    """What the change would do to the days from today on. Nothing is kept. ``progress``: told of each day.

    Raises InputError with every fault of the form, or where a day cannot be made of it; StaleSetUpError;
    ChangeCancelledError where it is cancelled meanwhile.
    """
    with store.writing() as session:
        work, _ = _made(session, change, clock)
        now = work.now()
        session.rollback()
    with store.reading() as session:
        work = Work(session, the_clinic(session), work.set_up, work.today)
        found = dict(foresee(work, now, in_mind(store), progress or Progress()))
    keep_in_mind(store, found)
    return _effects([one for one in found.values() if one.is_changed])


def save_change(
    store: Store,
    change: Change,
    *,
    actor: str,
    shown: str = "",
    clock: Clock = wall_clock,
    progress: Progress | None = None,
) -> Saved:
    """Make the change. ``shown``: the digest of the effects that the caller was shown, ``""`` where none were.

    Visits that no longer hold are left out of their plans then, with the reasons, and nothing of them is fixed any
    more; all other visits stay exactly where they are. A form that says what is set up already changes nothing.
    Raises BreaksVisitsError where it breaks other visits than those, what ``effects_of`` raises, and StoreError.
    """
    progress = progress or Progress()
    foreseen = effects_of(store, change, clock=clock, progress=progress)
    if foreseen.digest != shown:
        raise BreaksVisitsError(foreseen)
    with store.writing() as session:
        work, made = _made(session, change, clock)
        days = [one for _, one in foresee(work, work.now(), in_mind(store), progress) if one.is_changed]
        effects = _effects(days)
        if effects.digest != shown:
            raise BreaksVisitsError(effects)
        if not made.is_nothing:
            add_audit(session, work.clinic_id, actor, made.action, made.record, before=made.before, after=made.after)
        progress.begin("saving", len(days))
        for one in days:
            save_day_within(
                session,
                work.clinic,
                one.after.day,
                one.after.plan,
                read=one.known.version,
                actor=actor,
                known=one.known,
            )
            progress.step()
        saved = Saved(made.version, effects)
    keep_in_mind(store, {})
    return saved


def _made(session: Session, change: Change, clock: Clock) -> tuple[Work, Made]:
    clinic = the_clinic(session, to_write=True)
    before = set_up_of(session, clinic)
    today = clock().astimezone(ZoneInfo(before.time_zone)).date()
    work = Work(session, clinic, before, today)
    return work, change.make(work)


def _effects(days: Sequence[Foreseen]) -> Effects:
    broken = [one for day in days for one in _broken(day.known, day.after)]
    return Effects(tuple(day.known.day.date for day in days), tuple(broken))


def _broken(known: KeptDay, after: After) -> list[BrokenVisit]:
    visits = known.plan.visits if known.plan is not None else ()
    starts = {visit.id: visit.parts[0].start for visit in visits}
    ids = sorted(after.broken, key=lambda id: (starts.get(id, -1), id))
    return [
        BrokenVisit(
            date=known.day.date,
            visit=id,
            patient=known.day.visit_by_id[id].patient,
            start=shown_clock(starts[id]) if id in starts else None,
            reasons=after.broken[id],
        )
        for id in ids
    ]
