"""Staff, as lists to choose from."""

from sqlalchemy import func
from sqlmodel import Session, col, select

from app.models import Staff, StaffVersion


def staff_names(session: Session, clinic_id: int) -> dict[str, str]:
    """The name of everyone of the staff by code, by the newest version; those who left are not among them."""
    newest = select(func.max(StaffVersion.id)).group_by(col(StaffVersion.staff_id))
    query = select(Staff.code, StaffVersion.name).join(StaffVersion, col(StaffVersion.staff_id) == Staff.id)
    query = query.where(Staff.clinic_id == clinic_id, col(Staff.is_retired).is_(False))
    return dict(session.exec(query.where(col(StaffVersion.id).in_(newest)).order_by(StaffVersion.name)).all())
