"""What things are called, by their codes: also those that were retired, since past days have them."""

from sqlalchemy import func
from sqlmodel import Session, col, select

from app.models import Applicator, ApplicatorVersion, Staff, StaffVersion, Unit, UnitVersion


def newest_names(session: Session, clinic_id: int) -> dict[str, dict[str, str]]:
    """The newest name of every unit, applicator and member of the staff, by kind and code."""
    units = select(Unit.code, UnitVersion.name).join(UnitVersion, col(UnitVersion.unit_id) == Unit.id)
    newest_units = select(func.max(UnitVersion.id)).group_by(col(UnitVersion.unit_id))
    pools = select(Applicator.code, ApplicatorVersion.name).join(
        ApplicatorVersion, col(ApplicatorVersion.applicator_id) == Applicator.id
    )
    newest_pools = select(func.max(ApplicatorVersion.id)).group_by(col(ApplicatorVersion.applicator_id))
    staff = select(Staff.code, StaffVersion.name).join(StaffVersion, col(StaffVersion.staff_id) == Staff.id)
    newest_staff = select(func.max(StaffVersion.id)).group_by(col(StaffVersion.staff_id))
    return {
        "units": dict(
            session.exec(units.where(Unit.clinic_id == clinic_id, col(UnitVersion.id).in_(newest_units))).all()
        ),
        "applicators": dict(
            session.exec(
                pools.where(Applicator.clinic_id == clinic_id, col(ApplicatorVersion.id).in_(newest_pools))
            ).all()
        ),
        "staff": dict(
            session.exec(staff.where(Staff.clinic_id == clinic_id, col(StaffVersion.id).in_(newest_staff))).all()
        ),
    }
