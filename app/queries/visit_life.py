"""A visit by the id of its row, and what became of it.

A visit that is changed is a new row, and so is one that is moved to another day, be it under another code: all rows
that began with the same one are the visit. What became of it is told by the rows of its day.
"""

import datetime
from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from sqlalchemy import func
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

    ``edition`` goes up with every change of the visit, to another day too. ``stands_at``: the row with which it is on a
    day now, be it another, and that day's date; None: on none.
    """

    first_id: int
    row: BookedVisit
    day: ClinicDay
    patient: Patient
    treatment: str
    history: tuple[VisitStatus, ...]
    edition: int
    stands_at: tuple[int, datetime.date] | None

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
    """The visit that the row is of, on the row's day; None where there is no such row."""
    asked = session.get(BookedVisit, visit_id)
    day = None if asked is None else session.get(ClinicDay, asked.day_id)
    if asked is None or day is None or day.clinic_id != clinic_id:
        return None
    first_id = asked.first_id or visit_id
    life = lives(session, [first_id])[first_id]
    row, history = life.on(asked.day_id)
    patient = session.exec(select(Patient).where(Patient.id == row.patient_id)).one()
    named = select(Treatment.name).join(TreatmentVersion, col(TreatmentVersion.treatment_id) == Treatment.id)
    treatment = session.exec(named.where(TreatmentVersion.id == row.treatment_version_id)).one()
    return KnownVisit(first_id, row, day, patient, treatment, history, life.edition, life.stands_at)


@dataclass(frozen=True, slots=True)
class Life:
    """``rows``: all rows of a visit, on whatever day, oldest first, each with its day; ``steps``: of all of them."""

    rows: Sequence[tuple[BookedVisit, ClinicDay]]
    steps: Sequence[VisitStatus]

    @property
    def edition(self) -> int:
        """Higher with every change of the visit: the versions of all days that it was on, and its steps."""
        return sum({day.id: day.version for _, day in self.rows}.values()) + len(self.steps)

    @property
    def stands_at(self) -> tuple[int, datetime.date] | None:
        return next(((row.id or 0, day.date) for row, day in self.rows if not row.is_removed), None)

    def on(self, day_id: int) -> tuple[BookedVisit, tuple[VisitStatus, ...]]:
        """The newest of the rows of the day, and the steps of all of them."""
        rows = {row.id: row for row, _ in self.rows if row.day_id == day_id}
        return rows[max(id or 0 for id in rows)], tuple(step for step in self.steps if step.visit_id in rows)


def lives(session: Session, first_ids: Collection[int]) -> Mapping[int, Life]:
    """The visits whose lives began with these rows, by the rows' ids."""
    began = col(BookedVisit.first_id).in_(first_ids) | col(BookedVisit.id).in_(first_ids)
    query = select(BookedVisit, ClinicDay).join(ClinicDay, col(ClinicDay.id) == BookedVisit.day_id).where(began)
    rows, steps = defaultdict(list), defaultdict(list)
    for row, day in session.exec(query.order_by(col(BookedVisit.id))):
        rows[row.first_id or row.id or 0].append((row, day))
    first_of = select(VisitStatus, func.coalesce(BookedVisit.first_id, BookedVisit.id))
    first_of = first_of.join(BookedVisit, col(BookedVisit.id) == VisitStatus.visit_id).where(began)
    for step, first_id in session.exec(first_of.order_by(col(VisitStatus.id))):
        steps[first_id].append(step)
    return {id: Life(rows[id], steps[id]) for id in first_ids}


def first_ids_of(session: Session, day_id: int, code: str) -> set[int]:
    """The first rows of the visits that ever had the code on the day."""
    query = select(BookedVisit).where(BookedVisit.day_id == day_id, BookedVisit.code == code)
    return {row.first_id or row.id or 0 for row in session.exec(query)}


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
    there = select(BookedVisit).where(BookedVisit.day_id == day_id, col(BookedVisit.is_removed).is_(False))
    codes = {row.first_id or row.id: row.code for row in session.exec(there)}
    steps = select(func.coalesce(BookedVisit.first_id, BookedVisit.id), VisitStatus.status)
    steps = steps.join(VisitStatus, col(VisitStatus.visit_id) == BookedVisit.id).where(BookedVisit.day_id == day_id)
    found = session.exec(steps.order_by(col(VisitStatus.id))).all()
    return {codes[first_id]: status for first_id, status in found if first_id in codes}
