"""The figures kept of days."""

import datetime
from dataclasses import dataclass

from sqlalchemy import delete, select
from sqlmodel import Session, col

from app.models import ClinicDay, DayFigures, SavedPlan
from solver.report.sums import Sums


@dataclass(frozen=True, slots=True)
class FiguresOfDay:
    """A day that has a plan. ``sums`` None: those of its version are not counted yet."""

    date: datetime.date
    sums: Sums | None


def write_figures(session: Session, row: ClinicDay, sums: Sums) -> None:
    """Keep them as those of the day's version; what was kept before goes."""
    session.connection().execute(delete(DayFigures).where(col(DayFigures.day_id) == row.id))
    assert row.id is not None
    session.add(DayFigures(day_id=row.id, day_version=row.version, sums=sums))
    session.flush()


def figures_between(
    session: Session, clinic_id: int, first: datetime.date, last: datetime.date
) -> tuple[FiguresOfDay, ...]:
    """The days with a plan from the first to the last date, both among them, by date."""
    planned = select(col(SavedPlan.day_id))
    query = (
        select(col(ClinicDay.date), col(ClinicDay.version), col(DayFigures.day_version), col(DayFigures.sums))
        .join(DayFigures, col(DayFigures.day_id) == col(ClinicDay.id), isouter=True)
        .where(col(ClinicDay.clinic_id) == clinic_id, col(ClinicDay.date).between(first, last))
        .where(col(ClinicDay.id).in_(planned))
        .order_by(col(ClinicDay.date))
    )
    return tuple(
        FiguresOfDay(date, sums if version == counted else None)
        for date, version, counted, sums in session.connection().execute(query).all()
    )
