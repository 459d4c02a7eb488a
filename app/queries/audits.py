"""The audit: rows are added, and read."""

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import func
from sqlmodel import Session, col, select

from app.models import Account, Audit, ClinicDay
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
    """Say who did what to which record. ``before`` and ``after``: what was changed only.

    ``actor``: the name of an account, or the command that was run, which no account can be named.
    """
    account = select(Account.id).where(Account.clinic_id == clinic_id, Account.name == actor)
    session.add(
        Audit(
            clinic_id=clinic_id,
            at=now(),
            account_id=session.exec(account).first(),
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


def saved_at(session: Session, day_ids: Sequence[int]) -> dict[int, datetime.datetime]:
    """When each of the days got the version that it has, by its id."""
    query = select(Audit.day_id, func.max(Audit.at)).join(ClinicDay, col(ClinicDay.id) == Audit.day_id)
    query = query.where(col(Audit.day_id).in_(day_ids), Audit.day_version == ClinicDay.version)
    return {id: at for id, at in session.exec(query.group_by(col(Audit.day_id))) if id is not None}


def newest_audit(session: Session, clinic_id: int) -> int:
    """The id of the newest row; 0 where there is none. It goes up with every change of anything."""
    return session.exec(select(func.max(Audit.id)).where(Audit.clinic_id == clinic_id)).one() or 0


def days_changed_since(session: Session, clinic_id: int, audit_id: int) -> set[datetime.date]:
    """The dates of the days that were changed after the row of the audit."""
    query = select(ClinicDay).join(Audit, col(Audit.day_id) == ClinicDay.id)
    rows = session.exec(query.where(Audit.clinic_id == clinic_id, col(Audit.id) > audit_id).distinct())
    return {row.date for row in rows}


@dataclass(frozen=True, slots=True)
class AuditWanted:
    """Which rows are asked for; what is None or empty does not matter. ``record`` is a part of the record's name."""

    before: int | None
    actor: str
    record: str
    begins: datetime.datetime | None
    ends: datetime.datetime | None


def audits_before(session: Session, clinic_id: int, wanted: AuditWanted, most: int) -> list[Audit]:
    """The newest of the rows that are asked for."""
    query = select(Audit).where(Audit.clinic_id == clinic_id)
    if wanted.before is not None:
        query = query.where(col(Audit.id) < wanted.before)
    if wanted.actor:
        query = query.where(Audit.actor == wanted.actor)
    if wanted.record:
        query = query.where(col(Audit.record).contains(wanted.record, autoescape=True))
    if wanted.begins is not None and wanted.ends is not None:
        query = query.where(col(Audit.at) >= wanted.begins, col(Audit.at) < wanted.ends)
    return list(session.exec(query.order_by(col(Audit.id).desc()).limit(most)))


def audit_actors(session: Session, clinic_id: int) -> list[str]:
    """Everyone who did anything, by name."""
    return list(session.exec(select(Audit.actor).where(Audit.clinic_id == clinic_id).distinct().order_by(Audit.actor)))


def last_audits(session: Session, clinic_id: int, record: str, count: int) -> list[Audit]:
    """The last so many audits of the record, oldest first."""
    query = select(Audit).where(Audit.clinic_id == clinic_id, Audit.record == record)
    return list(reversed(session.exec(query.order_by(col(Audit.id).desc()).limit(count)).all()))
