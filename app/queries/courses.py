"""Courses with what is booked of them."""

from sqlalchemy import func
from sqlmodel import Session, col, select

from app.models import BookedVisit, Course, Patient, Staff, StaffVersion, Treatment, TreatmentVersion
from app.queries.current import current_version_ids


def courses_of(session: Session, patient_id: int) -> list[tuple[Course, Treatment, TreatmentVersion, int]]:
    """The patient's courses, the newest first, each with how many visits are booked for it."""
    booked = select(func.count(col(BookedVisit.id))).where(
        BookedVisit.course_id == Course.id, col(BookedVisit.is_removed).is_(False)
    )
    query = (
        select(Course, Treatment, TreatmentVersion, booked.correlate(Course).scalar_subquery())
        .join(TreatmentVersion, col(TreatmentVersion.id) == Course.treatment_version_id)
        .join(Treatment, col(Treatment.id) == TreatmentVersion.treatment_id)
        .where(Course.patient_id == patient_id)
        .order_by(col(Course.id).desc())
    )
    return [(course, treatment, version, int(count)) for course, treatment, version, count in session.exec(query)]


def course_row(session: Session, clinic_id: int, course_id: int) -> Course | None:
    query = select(Course).join(Patient, col(Patient.id) == Course.patient_id)
    return session.exec(query.where(Patient.clinic_id == clinic_id, Course.id == course_id)).first()


def therapist_codes(session: Session, clinic_id: int) -> dict[str, int]:
    """Codes of staff in use who are therapists now, with their ids."""
    now = current_version_ids(Staff, StaffVersion, "staff_id")
    query = (
        select(Staff.code, Staff.id)
        .join(StaffVersion, col(StaffVersion.staff_id) == Staff.id)
        .where(Staff.clinic_id == clinic_id, col(Staff.is_retired).is_(False))
        .where(StaffVersion.kind == "therapist", col(StaffVersion.id).in_(now))
    )
    return {code: id for code, id in session.exec(query) if id is not None}


def staff_code(session: Session, staff_id: int | None) -> str:
    row = None if staff_id is None else session.get(Staff, staff_id)
    return "" if row is None else row.code
