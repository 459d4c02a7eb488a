"""A visit by the id of its row, and what became of it.

A visit that is changed is a new row under its code, so its life is that of all rows of its day, code and patient.
Moved to another day it keeps its code: the rows that it had on days before are its own too for whoever has it in a
calendar. Day files may use a code again for the same patient; where it stands on two days, those are two visits.
"""

import datetime
from collections.abc import Collection, Mapping
from dataclasses import dataclass

from sqlmodel import Session, col, select

from app.models import (
    Account,
    BookedVisit,
    ClinicDay,
    Patient,
    SavedPlan,
    Treatment,
    TreatmentVersion,
    VisitStatus,
)


@dataclass(frozen=True, slots=True)
class KnownVisit:
    """``row``: the newest of the visit's rows, ``first_id`` its oldest, on days before too. ``history``: oldest first.

    ``edition`` goes up with every change of the visit, to another day too.
    """

    first_id: int
    row: BookedVisit
    day: ClinicDay
    patient: Patient
    treatment: str
    history: tuple[VisitStatus, ...]
    edition: int

    @property
    def id(self) -> int:
        return self.row.id or 0

    @property
    def status(self) -> str:
        return self.history[-1].status if self.history else "booked"

    @property
    def steps(self) -> list[VisitStatus]:
        """Those that stand: none that was taken back."""
        standing: list[VisitStatus] = []
        for step in self.history:
            if step.undoes_id is None:
                standing.append(step)
            else:
                standing.pop()
        return standing


def known_visit(session: Session, clinic_id: int, visit_id: int) -> KnownVisit | None:
    """The visit that the row is of; None where there is no such row."""
    asked = session.get(BookedVisit, visit_id)
    day = None if asked is None else session.get(ClinicDay, asked.day_id)
    if asked is None or day is None or day.clinic_id != clinic_id:
        return None
    same = select(BookedVisit).where(BookedVisit.day_id == asked.day_id, BookedVisit.code == asked.code)
    same = same.where(BookedVisit.patient_id == asked.patient_id)
    rows = session.exec(same.order_by(col(BookedVisit.id))).all()
    history = select(VisitStatus).where(col(VisitStatus.visit_id).in_([row.id for row in rows]))
    patient = session.exec(select(Patient).where(Patient.id == asked.patient_id)).one()
    named = select(Treatment.name).join(TreatmentVersion, col(TreatmentVersion.treatment_id) == Treatment.id)
    treatment = session.exec(named.where(TreatmentVersion.id == rows[-1].treatment_version_id)).one()
    steps = tuple(session.exec(history.order_by(col(VisitStatus.id))))
    first_id, edition = _in_calendars(session, day, rows[-1])
    return KnownVisit(first_id, rows[-1], day, patient, treatment, steps, edition)


def _in_calendars(session: Session, day: ClinicDay, row: BookedVisit) -> tuple[int, int]:
    """The id of the visit's oldest row, and its edition: the versions of all days it was on, and its steps."""
    query = select(BookedVisit, ClinicDay).join(ClinicDay, col(ClinicDay.id) == BookedVisit.day_id)
    query = query.where(BookedVisit.code == row.code, BookedVisit.patient_id == row.patient_id)
    every = session.exec(query.where(ClinicDay.clinic_id == day.clinic_id).order_by(col(BookedVisit.id))).all()
    day_of = {one.id: its.id for one, its in every}
    of_rows = select(VisitStatus).where(col(VisitStatus.visit_id).in_(day_of))
    steps = session.exec(of_rows.order_by(col(VisitStatus.id))).all()
    last = {day_of[step.visit_id]: step.status for step in steps}
    stands = {its.id for one, its in every if not one.is_removed}
    stands |= {its for its, status in last.items() if status != "booked"}
    days = {its.id: its for _, its in every if len(stands | {day.id}) == 1 or its.id == day.id}
    first = next(one.id for one, its in every if its.id in days)
    edition = sum(its.version for its in days.values()) + sum(day_of[step.visit_id] in days for step in steps)
    return first or 0, edition


def row_ids(session: Session, clinic_id: int, date: datetime.date) -> Mapping[str, int]:
    """The rows of the visits of a date, by the visits' codes."""
    query = select(BookedVisit.code, BookedVisit.id).join(ClinicDay, col(ClinicDay.id) == BookedVisit.day_id)
    query = query.where(ClinicDay.clinic_id == clinic_id, ClinicDay.date == date)
    return {code: id or 0 for code, id in session.exec(query.where(col(BookedVisit.is_removed).is_(False)))}


def visits_with_status(session: Session, day_id: int, statuses: Collection[str]) -> list[KnownVisit]:
    """The visits of the day, on it still or not, that have one of the statuses now; by row."""
    query = select(VisitStatus.visit_id).join(BookedVisit, col(BookedVisit.id) == VisitStatus.visit_id)
    ids = session.exec(query.where(BookedVisit.day_id == day_id).distinct()).all()
    clinic_id = session.exec(select(ClinicDay.clinic_id).where(ClinicDay.id == day_id)).one()
    every = (known_visit(session, clinic_id, id) for id in ids)
    found = {known.id: known for known in every if known is not None and known.status in statuses}
    return [found[id] for id in sorted(found)]


def account_named_so(session: Session, clinic_id: int, actor: str) -> int | None:
    return session.exec(select(Account.id).where(Account.clinic_id == clinic_id, Account.name == actor)).first()


def saved_at(session: Session, day_id: int) -> datetime.datetime | None:
    """When the day's plan was saved; None where there is none."""
    query = select(SavedPlan.saved_at).where(SavedPlan.day_id == day_id, col(SavedPlan.is_current).is_(True))
    return session.exec(query).first()


def codes_present(session: Session, day_id: int) -> set[str]:
    """The visits of the day whose patients are there, or were."""
    return {known.row.code for known in visits_with_status(session, day_id, ("arrived", "fulfilled"))}


def statuses_of_day(session: Session, day_id: int) -> dict[str, str]:
    """The status of each visit that is on the day and had a step, by code."""
    there = select(BookedVisit.code, BookedVisit.patient_id)
    there = there.where(BookedVisit.day_id == day_id, col(BookedVisit.is_removed).is_(False))
    whose = dict(session.exec(there).all())
    steps = select(BookedVisit.code, BookedVisit.patient_id, VisitStatus.status)
    steps = steps.join(VisitStatus, col(VisitStatus.visit_id) == BookedVisit.id).where(BookedVisit.day_id == day_id)
    found = session.exec(steps.order_by(col(VisitStatus.id))).all()
    return {code: status for code, patient, status in found if whose.get(code) == patient}
