"""Treatments: the version that a visit is booked with, found again or added, and read."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from itertools import zip_longest
from typing import Any

from sqlalchemy import or_
from sqlmodel import Session, col, select

from app.models import (
    Applicator,
    BookedVisit,
    PartApplicator,
    PartUnit,
    Treatment,
    TreatmentPart,
    TreatmentPhase,
    TreatmentVersion,
    Unit,
)
from app.queries.codes import digest_of, ids_of
from app.queries.versions import read_once
from solver.visits import Part, Visit

Document = dict[str, Any]


class Treatments:
    """Finds the treatment version that is what a visit of a day file asks for, and adds one where there is none."""

    def __init__(self, session: Session, clinic_id: int) -> None:
        self._session = session
        self._clinic_id = clinic_id
        self._units = ids_of(session, Unit, clinic_id)
        self._pools = ids_of(session, Applicator, clinic_id)

    def version_of(
        self, visit: Visit, document: Mapping[str, Any], patient_id: int, booked_with: int | None = None
    ) -> int:
        """The id of the version. ``document``: the visit as in a day file.

        ``booked_with``: the version that the visit had before; it keeps that one as long as it asks for the same.
        """
        digest = scheduling_digest(document)
        before = None if booked_with is None else self._session.get(TreatmentVersion, booked_with)
        if before is not None and before.scheduling_digest == digest:
            return before.id or 0
        mine = or_(col(Treatment.patient_id).is_(None), col(Treatment.patient_id) == patient_id)
        known = (
            select(TreatmentVersion.id)
            .join(Treatment, col(Treatment.id) == TreatmentVersion.treatment_id)
            .where(Treatment.clinic_id == self._clinic_id, TreatmentVersion.scheduling_digest == digest, mine)
            .order_by(col(TreatmentVersion.id))
        )
        id = self._session.exec(known).first()
        return id if id is not None else self._add(visit, digest)

    def _add(self, visit: Visit, digest: str) -> int:
        name = ", ".join(part.id for part in visit.parts)
        treatment = Treatment(clinic_id=self._clinic_id, code=f"from-file-{digest[:16]}", name=name)
        self._session.add(treatment)
        self._session.flush()
        assert treatment.id is not None
        version = TreatmentVersion(
            treatment_id=treatment.id, version=1, digest=digest, scheduling_digest=digest, same_unit=visit.same_unit
        )
        return self.add_version(version, visit.parts)

    def add_version(
        self, version: TreatmentVersion, parts: Sequence[Part], settings: Sequence[Mapping[str, Any]] = ()
    ) -> int:
        """Add the version with its parts; its id. ``settings``: for each part, what no day file has, by column."""
        self._session.add(version)
        self._session.flush()
        assert version.id is not None
        for i, (part, of_part) in enumerate(zip_longest(parts, settings, fillvalue=None)):
            assert isinstance(part, Part)
            self._add_part(version.id, i, part, of_part if isinstance(of_part, Mapping) else {})
        self._session.flush()
        return version.id

    def _add_part(self, version_id: int, number: int, part: Part, settings: Mapping[str, Any]) -> None:
        self._session.add(
            TreatmentPart(
                treatment_version_id=version_id,
                part=number,
                code=part.id,
                channels=dict(part.channels),
                suction_kpa=part.suction_kpa,
                skill=part.skill,
                any_unit=part.units is None,
                max_wait_min=part.max_wait_min,
                **settings,
            )
        )
        self._session.flush()
        key = {"treatment_version_id": version_id, "part": number}
        self._session.add_all(
            TreatmentPhase(**key, phase=i, minutes=phase.minutes, hands=phase.hands, is_running=phase.running)
            for i, phase in enumerate(part.phases)
        )
        self._session.add_all(
            PartApplicator(**key, applicator_id=self._pools[pool], position=i, count=count)
            for i, (pool, count) in enumerate(part.applicators.items())
        )
        self._session.add_all(
            PartUnit(**key, unit_id=self._units[unit], position=i) for i, unit in enumerate(part.units or ())
        )


def scheduling_digest(document: Mapping[str, Any]) -> str:
    """Of what a day file says of a treatment: ``same_unit`` and ``parts``."""
    return digest_of({"same_unit": document["same_unit"], "parts": document["parts"]})


def parts_by_version(session: Session, day_id: int) -> Mapping[int, list[Document]]:
    """The parts of every treatment version that a visit of the day was ever booked with, as in a day file."""
    ids = session.exec(select(BookedVisit.treatment_version_id).where(BookedVisit.day_id == day_id).distinct()).all()
    return read_once(session, "treatment", ids, parts_of_versions)


def parts_of_versions(session: Session, here: Sequence[int]) -> Mapping[int, list[Document]]:
    """The parts of treatment versions, as in a day file. ``here``: their ids."""
    phases, units = defaultdict(list), defaultdict(list)
    pools: dict[tuple[int, int], dict[str, int]] = defaultdict(dict)
    of_day = select(TreatmentPhase).where(col(TreatmentPhase.treatment_version_id).in_(here))
    for phase in session.exec(of_day.order_by(col(TreatmentPhase.phase))):
        document = {"min": phase.minutes, "hands": phase.hands, "running": phase.is_running}
        phases[phase.treatment_version_id, phase.part].append(document)
    needed = select(PartApplicator, Applicator.code).join(
        Applicator, col(Applicator.id) == PartApplicator.applicator_id
    )
    needed = needed.where(col(PartApplicator.treatment_version_id).in_(here)).order_by(col(PartApplicator.position))
    for need, code in session.exec(needed):
        pools[need.treatment_version_id, need.part][code] = need.count
    allowed = select(PartUnit, Unit.code).join(Unit, col(Unit.id) == PartUnit.unit_id)
    allowed = allowed.where(col(PartUnit.treatment_version_id).in_(here)).order_by(col(PartUnit.position))
    for may, code in session.exec(allowed):
        units[may.treatment_version_id, may.part].append(code)
    parts: dict[int, list[Document]] = defaultdict(list)
    query = select(TreatmentPart).where(col(TreatmentPart.treatment_version_id).in_(here))
    for part in session.exec(query.order_by(col(TreatmentPart.part))):
        key = (part.treatment_version_id, part.part)
        parts[part.treatment_version_id].append(
            {
                "id": part.code,
                "channels": part.channels,
                "applicators": pools[key],
                "suction_kpa": part.suction_kpa,
                "skill": part.skill,
                "phases": phases[key],
                **({} if part.any_unit else {"units": units[key]}),
                "max_wait_min": part.max_wait_min,
            }
        )
    return {id: parts[id] for id in here}
