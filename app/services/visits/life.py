"""What becomes of a visit: each step is added to its history; what leaves its day does so in the same transaction."""

import datetime
from dataclasses import replace
from zoneinfo import ZoneInfo

from sqlmodel import Session

from app.clock import instant_of
from app.db.store import Store
from app.errors import StaleRecordError
from app.models import Clinic, VisitStatus
from app.models.columns import now
from app.queries.audits import add_audit
from app.queries.clinics import the_clinic
from app.queries.visit_life import KnownVisit, account_named_so, known_visit
from app.queries.visits import booked_with_of
from app.services.days import KeptDay, kept, save_day_within
from app.services.placing import with_told, with_visit, without
from app.services.treatments.form import read_text
from app.services.visits.steps import LEAVE_THE_DAY, NEED_A_REASON, NEXT
from app.services.visits.taken_out import Document, TakenOut, taken_out, to_take_out
from solver.errors import Fault, InputError, PlanRefusedError
from solver.reading.faults import Faults

Moment = datetime.datetime


def step(
    store: Store,
    visit_id: int,
    status: str,
    reason: str = "",
    *,
    seen: int,
    actor: str,
    at: datetime.datetime | None = None,
) -> None:
    """The visit is ``status`` from now on. ``seen``: how many steps its history had when it was read.

    ``at``: the instant, for tests. Raises InputError where that may not follow or a reason is missing, and
    StaleRecordError where the history is longer by now; then nothing is changed.
    """
    with store.writing() as session:
        clinic = the_clinic(session, to_write=True)
        known = _seen(session, clinic, visit_id, seen)
        step_within(session, clinic, known, status, reason, actor=actor, at=at or now())


def step_within(
    session: Session, clinic: Clinic, known: KnownVisit, status: str, reason: str = "", *, actor: str, at: Moment
) -> None:
    """``step`` as a part of a transaction that writes other things too: it got the clinic ``to_write`` first."""
    if status not in NEXT.get(known.status, frozenset()):
        right = ", ".join(sorted(NEXT.get(known.status, ()))) or "take back the last step first"
        raise InputError([Fault("status", f"{status[:40]!r} cannot follow {known.status}", right)])
    if known.row.is_removed:
        raise InputError([Fault("visit", "it is not on its day any more", "look for it on the Day page")])
    reason = _reason(status, reason)
    present = kept(session, known.day)
    leaves = status in LEAVE_THE_DAY or (status == "noshow" and _is_to_come(known, present, at))
    taken_out = to_take_out(present, known.row.code) if leaves else None
    _add(session, clinic, known, status, actor, at, reason=reason, taken_out=taken_out)
    if leaves:
        day, plan = without(present.day, present.plan, [known.row.code])
        _save(session, clinic, replace(present, day=day, plan=plan), actor)


def take_back(store: Store, visit_id: int, *, seen: int, actor: str) -> None:
    """The last step that stands is undone; a visit that had left its day is put back where it was.

    Raises InputError where there is no step, or where others have its time by now; StaleRecordError as ``step``.
    """
    with store.writing() as session:
        clinic = the_clinic(session, to_write=True)
        known = _seen(session, clinic, visit_id, seen)
        take_back_within(session, clinic, known, actor=actor, at=now())


def take_back_within(session: Session, clinic: Clinic, known: KnownVisit, *, actor: str, at: Moment) -> None:
    """``take_back`` as a part of a transaction that writes other things too."""
    steps = known.steps
    if not steps:
        raise InputError([Fault("visit", "nothing was done with it yet", "there is nothing to take back")])
    last, before = steps[-1], steps[-2].status if len(steps) > 1 else "booked"
    before_it = taken_out(known)
    if before_it is not None:
        _put_back(session, clinic, known, before_it, actor)
    _add(session, clinic, known, before, actor, at, undoes_id=last.id)


def tell(store: Store, visit_id: int, *, seen: int, read: int, actor: str) -> None:
    """The patient was told when and where the visit is now. ``read``: the version of the day that they were told of.

    Raises InputError where the plan has no place for it; StaleRecordError as ``step``; StaleDayError.
    """
    with store.writing() as session:
        clinic = the_clinic(session, to_write=True)
        known = _seen(session, clinic, visit_id, seen)
        present = kept(session, known.day)
        placed = present.placed(known.row.code)
        if placed is None or present.plan is None or known.row.is_removed:
            raise InputError([Fault("visit", "no plan has a time for it", "plan the day first")])
        day, plan = with_told(present.day, present.plan, placed)
        save_day_within(session, clinic, day, plan, read=read, actor=actor)
        add_audit(session, clinic.id or 0, actor, "told the patient of", f"visit {known.id}")


def _seen(session: Session, clinic: Clinic, visit_id: int, seen: int) -> KnownVisit:
    known = known_visit(session, clinic.id or 0, visit_id)
    if known is None:
        raise InputError([Fault("visit", "there is no such visit", "look for it on the Day page")])
    if len(known.history) != seen:
        raise StaleRecordError(f"visit {visit_id}")
    return known


def _reason(status: str, reason: str) -> str:
    faults = Faults()
    needed = "why" if status in NEED_A_REASON else ""
    text: str = read_text(faults, "reason", reason, needed=needed)
    faults.refuse_if_any()
    return text


def _is_to_come(known: KnownVisit, present: KeptDay, at: datetime.datetime) -> bool:
    """Whether some of the visit's time is left, so that somebody else may have it."""
    placed = present.placed(known.row.code)
    if placed is None:
        return True
    last = placed.parts[-1].start + present.day.visit_by_id[placed.id].parts[-1].minutes
    return at < instant_of(known.day.date, last, ZoneInfo(known.day.time_zone))


def _put_back(session: Session, clinic: Clinic, known: KnownVisit, gone: TakenOut, actor: str) -> None:
    present, code = kept(session, known.day), known.row.code
    taken = "its time is somebody else's by now, or the day is another"
    refused = InputError([Fault("visit", taken, "book it anew on the Openings page")])
    if code in present.day.visit_by_id:
        raise refused
    try:
        told = () if gone.told is None else (gone.told,)
        day = replace(present.day, published=(*present.day.published, *told))
        day, plan = with_visit(day, present.plan, gone.visit, gone.placed)
        booked = {code: booked_with_of(known.row)}
        save_day_within(session, clinic, day, plan, read=present.version, actor=actor, booked=booked)
    except (InputError, PlanRefusedError):
        raise refused from None


def _save(session: Session, clinic: Clinic, changed: KeptDay, actor: str) -> None:
    save_day_within(session, clinic, changed.day, changed.plan, read=changed.version, actor=actor)


def _add(
    session: Session,
    clinic: Clinic,
    known: KnownVisit,
    status: str,
    actor: str,
    at: datetime.datetime,
    *,
    reason: str = "",
    taken_out: Document | None = None,
    undoes_id: int | None = None,
) -> None:
    session.add(
        VisitStatus(
            visit_id=known.id,
            status=status,
            reason=reason,
            at=at,
            account_id=account_named_so(session, clinic.id or 0, actor),
            actor=actor,
            undoes_id=undoes_id,
            taken_out=taken_out,
        )
    )
    session.flush()
    action = "took back a step of" if undoes_id is not None else "changed"
    before, after = {"status": known.status}, {"status": status}
    add_audit(session, clinic.id or 0, actor, action, f"visit {known.id}", before=before, after=after)
