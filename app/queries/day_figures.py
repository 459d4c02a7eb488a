"""The figures kept of days: of the plan by the day's version, of what happened by the newest that was recorded."""

import datetime
from dataclasses import dataclass

from sqlalchemy import delete, func, select
from sqlmodel import Session, col

from app.models import BookedVisit, ClinicDay, DayFigures, LiveEvent, SavedPlan, VisitStatus
from solver.report.sums import Row, Sums

_ACTUAL = "actual "
_MARK = "mark"
_NEWEST = "treatments"
"""A table that figures have since they were last given more of them; those without it are to be counted again."""


@dataclass(frozen=True, slots=True)
class FiguresOfDay:
    """A day that has a plan. ``sums`` None: those of its version are not counted yet.

    ``actual``: of what happened, where that was recorded and is counted. ``current``: nothing is to be counted.
    """

    date: datetime.date
    sums: Sums | None
    actual: Sums | None
    current: bool


def write_figures(
    session: Session, row: ClinicDay, sums: Sums, actual: Sums | None = None, mark: Row | None = None
) -> None:
    """Keep them as those of the day's version; what was kept before goes. ``mark``: what ``actual`` was made from."""
    session.connection().execute(delete(DayFigures).where(col(DayFigures.day_id) == row.id))
    assert row.id is not None
    kept = {**sums, **{f"{_ACTUAL}{name}": rows for name, rows in (actual or {}).items()}}
    if mark is not None:
        kept[_MARK] = {"all": mark}
    session.add(DayFigures(day_id=row.id, day_version=row.version, sums=kept))
    session.flush()


def figures_between(
    session: Session, clinic_id: int, first: datetime.date, last: datetime.date, today: datetime.date
) -> tuple[FiguresOfDay, ...]:
    """The days with a plan from the first to the last date, both among them, by date; what happened, before today."""
    days = session.connection().execute(
        select(
            col(ClinicDay.id),
            col(ClinicDay.date),
            col(ClinicDay.version),
            col(DayFigures.day_version),
            col(DayFigures.sums),
        )
        .join(DayFigures, col(DayFigures.day_id) == col(ClinicDay.id), isouter=True)
        .where(col(ClinicDay.clinic_id) == clinic_id, col(ClinicDay.date).between(first, last))
        .where(col(ClinicDay.id).in_(select(col(SavedPlan.day_id))))
        .order_by(col(ClinicDay.date))
    )
    marks = marks_between(session, clinic_id, first, min(last, today - datetime.timedelta(days=1)))
    return tuple(
        _figures(date, sums if version == counted and _NEWEST in sums else None, marks.get(day_id or 0))
        for day_id, date, version, counted, sums in days.all()
    )


def planned_dates(
    session: Session, clinic_id: int, first: datetime.date, last: datetime.date
) -> tuple[datetime.date, ...]:
    """The dates of the days with a plan, in order."""
    query = select(col(ClinicDay.date)).where(col(ClinicDay.clinic_id) == clinic_id)
    query = query.where(col(ClinicDay.date).between(first, last), col(ClinicDay.id).in_(select(col(SavedPlan.day_id))))
    return tuple(session.connection().execute(query.order_by(col(ClinicDay.date))).scalars())


def marks_between(
    session: Session, clinic_id: int, first: datetime.date, last: datetime.date
) -> dict[int, dict[str, int]]:
    """By the row of each day on which anything was pressed: the newest event, and step of a visit's life."""
    ours = (col(ClinicDay.clinic_id) == clinic_id, col(ClinicDay.date).between(first, last))
    events = (
        select(col(ClinicDay.id), func.max(col(LiveEvent.id)))
        .join(LiveEvent, col(LiveEvent.day_id) == col(ClinicDay.id))
        .where(*ours)
        .group_by(col(ClinicDay.id))
    )
    newest = session.connection().execute(events).all()
    if not newest:
        return {}
    steps = (
        select(col(BookedVisit.day_id), func.max(col(VisitStatus.id)))
        .join(VisitStatus, col(VisitStatus.visit_id) == col(BookedVisit.id))
        .where(col(BookedVisit.day_id).in_([day_id for day_id, _ in newest]))
        .group_by(col(BookedVisit.day_id))
    )
    step_of = {day_id: step or 0 for day_id, step in session.connection().execute(steps).all()}
    return {day_id or 0: {"event": event or 0, "step": step_of.get(day_id or 0, 0)} for day_id, event in newest}


def _figures(date: datetime.date, kept: Sums | None, mark: Row | None) -> FiguresOfDay:
    if kept is None:
        return FiguresOfDay(date, None, None, current=False)
    sums = {name: rows for name, rows in kept.items() if name != _MARK and not name.startswith(_ACTUAL)}
    if mark is None:
        return FiguresOfDay(date, sums, None, current=True)
    if kept.get(_MARK) != {"all": mark}:
        return FiguresOfDay(date, sums, None, current=False)
    actual = {name.removeprefix(_ACTUAL): rows for name, rows in kept.items() if name.startswith(_ACTUAL)}
    return FiguresOfDay(date, sums, actual or None, current=True)
