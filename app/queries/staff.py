"""Staff, as lists to choose from."""

from sqlmodel import Session, col, select

from app.models import Staff, StaffVersion
from app.queries.current import current_version_ids


def staff_names(session: Session, clinic_id: int) -> dict[str, str]:
    """The name of everyone of the staff by code, as it is now; those who left are not among them."""
    now = current_version_ids(Staff, StaffVersion, "staff_id")
    query = select(Staff.code, StaffVersion.name).join(StaffVersion, col(StaffVersion.staff_id) == Staff.id)
    query = query.where(Staff.clinic_id == clinic_id, col(Staff.is_retired).is_(False))
    return dict(session.exec(query.where(col(StaffVersion.id).in_(now)).order_by(StaffVersion.name)).all())
