"""The audit: rows are added, and read."""

from collections.abc import Mapping
from typing import Any

from sqlmodel import Session, col, select

from app.models import Audit, ClinicDay
from app.models.columns import now


def add_audit(
    session: Session,
    clinic_id: int,
    actor: str,
    action: str,
    record: str,
    *,
    day: ClinicDay | None = None,
    before: Mapping[str, Any] | None = None,
    after: Mapping[str, Any] | None = None,
) -> None:
    """Say who did what to which record. ``before`` and ``after``: what was changed only."""
    session.add(
        Audit(
            clinic_id=clinic_id,
            at=now(),
            actor=actor,
            action=action,
            record=record,
            day_id=None if day is None else day.id,
            day_version=None if day is None else day.version,
            before=dict(before or {}),
            after=dict(after or {}),
        )
    )


def audits_since(session: Session, day: ClinicDay, version: int) -> list[Audit]:
    """What was done to the day after it had the version, oldest first."""
    query = select(Audit).where(Audit.day_id == day.id, col(Audit.day_version) > version)
    return list(session.exec(query.order_by(col(Audit.day_version), col(Audit.id))))


def last_audits(session: Session, clinic_id: int, record: str, count: int) -> list[Audit]:
    """The last so many audits of the record, oldest first."""
    query = select(Audit).where(Audit.clinic_id == clinic_id, Audit.record == record)
    return list(reversed(session.exec(query.order_by(col(Audit.id).desc()).limit(count)).all()))
