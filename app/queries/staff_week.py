"""Staff with their newest version and weekly hours."""

from collections import defaultdict
from collections.abc import Mapping, Sequence

from sqlalchemy import func
from sqlmodel import Session, col, delete, select

from app.models import Staff, StaffVersion, WeeklyHours
from solver.clock import Interval

Week = dict[int, list[Interval]]
"""Hours by weekday, 0 for Monday."""


def staff_and_weeks(session: Session, clinic_id: int) -> dict[str, tuple[Staff, StaffVersion, Week]]:
    """By code."""
    newest = select(func.max(StaffVersion.id)).group_by(col(StaffVersion.staff_id))
    weeks: dict[int, Week] = defaultdict(lambda: defaultdict(list))
    for row in session.exec(select(WeeklyHours).order_by(col(WeeklyHours.start_min))):
        weeks[row.staff_id][row.weekday].append(Interval(row.start_min, row.end_min))
    query = select(Staff, StaffVersion).join(StaffVersion, col(StaffVersion.staff_id) == Staff.id)
    query = query.where(Staff.clinic_id == clinic_id, col(StaffVersion.id).in_(newest))
    return {staff.code: (staff, version, dict(weeks[staff.id or 0])) for staff, version in session.exec(query)}


def write_week(session: Session, staff_id: int, week: Mapping[int, Sequence[Interval]]) -> None:
    """The member's weekly hours from now on; days that are booked keep theirs."""
    session.exec(delete(WeeklyHours).where(col(WeeklyHours.staff_id) == staff_id))
    session.add_all(
        WeeklyHours(staff_id=staff_id, weekday=weekday, start_min=start, end_min=end)
        for weekday, intervals in week.items()
        for start, end in intervals
    )
    session.flush()
