"""Minutes that became free, and who of the waiting list fits them: each asked exactly on that day's plan."""

import datetime
from collections.abc import Iterator
from dataclasses import dataclass, replace
from zoneinfo import ZoneInfo

from sqlmodel import Session

from app.db.store import Store
from app.models import Clinic, ClinicDay
from app.queries.clinics import the_clinic
from app.queries.days import day_row
from app.queries.visit_life import KnownVisit, known_visit, visits_with_status
from app.queries.waiting import WaitingRow, waiting_rows
from app.services.days import KeptDay, kept
from app.services.openings.asking import as_wished_on
from app.services.visits.steps import FREE_MINUTES
from app.services.visits.taken_out import taken_out
from solver.clock import Interval
from solver.offering.loaded import LoadedPlan
from solver.offers import offers_in
from solver.problem import Day
from solver.reading.faults import Faults
from solver.reading.visit_reader import VISIT
from solver.references import visit_reference_faults
from solver.schedule import PlacedVisit
from solver.visits import Visit


@dataclass(frozen=True, slots=True)
class Fit:
    """Somebody who waits, and the offer that has most of its minutes in the free ones; ``overlap``: so many.

    Of several it is one with the wished therapist, where there is one; ``not_with``: that therapist's name, where not.
    """

    waiting_id: int
    patient: str
    treatment: str
    priority: int
    since: datetime.datetime
    date: datetime.date
    when: Interval
    unit: str
    overlap: int
    not_with: str


@dataclass(frozen=True, slots=True)
class FreeGap:
    """What a visit left behind on its date, and who fits it: by priority, then by who has waited longest."""

    visit_id: int
    date: datetime.date
    when: Interval
    fits: tuple[Fit, ...]


def fitting_for(store: Store, visit_id: int) -> tuple[Fit, ...]:
    """Who fits the minutes that the visit left behind; nobody where it left none."""
    with store.reading() as session:
        clinic = the_clinic(session)
        known = known_visit(session, clinic.id or 0, visit_id)
        if known is None:
            return ()
        return next((gap.fits for gap in _gaps(session, clinic, known.day, [known])), ())


def free_gaps(store: Store, date: datetime.date) -> tuple[FreeGap, ...]:
    """What became free on the date, by time."""
    with store.reading() as session:
        clinic = the_clinic(session)
        row = day_row(session, clinic.id or 0, date)
        if row is None:
            return ()
        gone = visits_with_status(session, row.id or 0, FREE_MINUTES)
        return tuple(sorted(_gaps(session, clinic, row, gone), key=lambda gap: gap.when))


def _gaps(session: Session, clinic: Clinic, row: ClinicDay, gone: list[KnownVisit]) -> Iterator[FreeGap]:
    present = kept(session, row)
    if present.plan is None:
        return
    waiting, loaded = waiting_rows(session, clinic.id or 0), LoadedPlan(present.day, present.plan)
    for known in gone:
        left = taken_out(known)
        if left is None or left.placed is None:
            continue
        when = _span(left.visit, left.placed)
        fits = [_fit(present, loaded, one, when, ZoneInfo(clinic.time_zone)) for one in waiting]
        yield FreeGap(known.id, row.date, when, tuple(fit for fit in fits if fit is not None))


def _fit(present: KeptDay, loaded: LoadedPlan, found: WaitingRow, gap: Interval, zone: ZoneInfo) -> Fit | None:
    visit = _asked(present.day, found)
    if visit is None:
        return None
    offers = [*offers_in(loaded, visit), *_with_the_wished(loaded, visit)]
    best = min(offers, key=lambda one: _worth(visit, one, gap), default=None)
    if best is None or not _overlap(visit, best, gap):
        return None
    missed = visit.needs_therapist and visit.therapist_wish not in (None, best.therapist)
    return Fit(
        waiting_id=found.row.id or 0,
        patient=found.patient.name,
        treatment=found.treatment,
        priority=found.row.priority,
        since=found.row.since.astimezone(zone),
        date=present.day.date,
        when=_span(visit, best),
        unit=present.day.unit_by_id[best.parts[0].unit].name,
        overlap=_overlap(visit, best, gap),
        not_with=present.day.staff_by_id[visit.therapist_wish].name if missed and visit.therapist_wish else "",
    )


def _with_the_wished(loaded: LoadedPlan, visit: Visit) -> list[PlacedVisit]:
    """The offers with nobody but the therapist who is wished for."""
    if visit.therapist_wish is None or not visit.needs_therapist:
        return []
    return offers_in(loaded, replace(visit, therapist_must=visit.therapist_wish))


def _worth(visit: Visit, offer: PlacedVisit, gap: Interval) -> tuple[int, bool, int]:
    """The least is the best: most minutes in the gap, then the wished therapist, then early."""
    return -_overlap(visit, offer, gap), offer.therapist != visit.therapist_wish, offer.parts[0].start


def _asked(day: Day, found: WaitingRow) -> Visit | None:
    """The visit that is waited for; None where it is not for this weekday, or asks for what the day has not."""
    if found.row.weekdays is not None and day.date.weekday() not in found.row.weekdays:
        return None
    visit = VISIT.read(Faults(), "waiting", found.document)
    if found.row.hours is not None:
        visit = replace(visit, free=tuple(Interval(*hours) for hours in found.row.hours))
    visit = as_wished_on(day, visit)
    wrong = visit_reference_faults(day.units, day.applicators, day.places, day.staff, visit)
    return None if list(wrong) else visit


def _span(visit: Visit, placed: PlacedVisit) -> Interval:
    return Interval(placed.parts[0].start, placed.parts[-1].start + visit.parts[-1].minutes)


def _overlap(visit: Visit, placed: PlacedVisit, gap: Interval) -> int:
    when = _span(visit, placed)
    return max(0, min(when.end, gap.end) - max(when.start, gap.start))
