"""The catalogue: treatments that are ready to be prescribed, found and read."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlmodel import Session

from app.db.folding import folded_words, sought_text
from app.db.store import Store
from app.models import Treatment, TreatmentVersion
from app.queries.catalogue import (
    current_versions,
    full_parts,
    outputs_of,
    treatment_row,
    used_texts,
    version_row,
    visits_of_other_versions,
)
from app.queries.clinics import the_clinic
from solver.errors import Fault, InputError

Document = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Asked:
    """What is looked for; None or empty: anything. ``channels``: at most as many at once in any part."""

    body_site: str = ""
    output: str = ""
    applicator: str = ""
    channels: int | None = None
    text: str = ""
    with_retired: bool = False


@dataclass(frozen=True, slots=True)
class TreatmentLine:
    """A treatment in a list. ``channels``: the most that a part needs at once; ``minutes``: all parts together."""

    id: int
    code: str
    name: str
    body_site: str
    outputs: tuple[str, ...]
    applicators: tuple[str, ...]
    channels: int
    minutes: int
    version: int
    is_retired: bool


@dataclass(frozen=True, slots=True)
class TreatmentRead:
    """A version of a treatment. ``form`` is a document of texts, see ``form.py``; ``edition`` is what a change gives
    back as ``read``. From ``patient_id`` on: of a patient's own treatment only."""

    id: int
    code: str
    name: str
    version: int
    version_id: int
    edition: int
    is_retired: bool
    form: Document
    patient_id: int | None
    based_on_id: int | None
    prescribed_by: str
    prescribed_on: date | None
    note: str


@dataclass(frozen=True, slots=True)
class BookedThen:
    """A visit that keeps the version it was booked with, though another is prescribed by now."""

    date: date
    visit: str
    version: int


def find_treatments(store: Store, asked: Asked | None = None) -> list[TreatmentLine]:
    """What of the catalogue fits, by name. Body site and free text are found by the beginnings of their words."""
    wanted = asked or Asked()
    with store.reading() as session:
        clinic = the_clinic(session)
        lines = lines_of(session, current_versions(session, clinic.id or 0, None, retired=wanted.with_retired))
    return [line for line in lines if _fits(line, wanted)]


def lines_of(session: Session, rows: list[tuple[Treatment, TreatmentVersion]]) -> list[TreatmentLine]:
    parts = full_parts(session, [version.id for _, version in rows])
    return [_line(treatment, version, parts[version.id or 0]) for treatment, version in rows]


def _line(treatment: Treatment, version: TreatmentVersion, parts: list[Document]) -> TreatmentLine:
    return TreatmentLine(
        id=treatment.id or 0,
        code=treatment.code,
        name=treatment.name,
        body_site=version.body_site,
        outputs=tuple(dict.fromkeys(output for part in parts for output in part["channels"])),
        applicators=tuple(dict.fromkeys(pool for part in parts for pool in part["applicators"])),
        channels=max(sum(part["channels"].values()) for part in parts),
        minutes=sum(phase["min"] for part in parts for phase in part["phases"]),
        version=version.version,
        is_retired=treatment.is_retired,
    )


def _fits(line: TreatmentLine, asked: Asked) -> bool:
    said = sought_text(line.name, line.code, line.body_site, *line.outputs, *line.applicators)
    return (
        all(f" {word}" in sought_text(line.body_site) for word in folded_words(asked.body_site))
        and all(f" {word}" in said for word in folded_words(asked.text))
        and (not asked.output or asked.output in line.outputs)
        and (not asked.applicator or asked.applicator in line.applicators)
        and (asked.channels is None or line.channels <= asked.channels)
    )


def read_treatment(store: Store, treatment_id: int, version: int | None = None) -> TreatmentRead:
    """The treatment, in the version that is prescribed from now on unless told. Raises InputError: no such one."""
    with store.reading() as session:
        treatment = treatment_meant(session, the_clinic(session).id or 0, treatment_id)
        return read_version(session, treatment, version_row(session, treatment.id, version or treatment.version))


def treatment_meant(session: Session, clinic_id: int, treatment_id: int) -> Treatment:
    treatment = treatment_row(session, clinic_id, treatment_id)
    if treatment is None:
        raise InputError([Fault("treatment", "there is no such treatment", "choose one of the list")])
    return treatment


def read_version(session: Session, treatment: Treatment, row: TreatmentVersion) -> TreatmentRead:
    parts = full_parts(session, [row.id])[row.id or 0]
    form = {
        "name": treatment.name,
        "body_site": row.body_site,
        "same_unit": row.same_unit,
        "parts": [_form_part(part) for part in parts],
    }
    return TreatmentRead(
        id=treatment.id or 0,
        code=treatment.code,
        name=treatment.name,
        version=row.version,
        version_id=row.id or 0,
        edition=treatment.edition,
        is_retired=treatment.is_retired,
        form=form,
        patient_id=treatment.patient_id,
        based_on_id=row.based_on_id,
        prescribed_by=row.prescribed_by,
        prescribed_on=row.prescribed_on,
        note=row.note,
    )


def _form_part(part: Document) -> Document:
    counts = {key: {name: str(n) for name, n in part[key].items()} for key in ("channels", "applicators")}
    phases = [{**phase, "min": str(phase["min"])} for phase in part["phases"]]
    texts = ("suction_kpa", "skill", "max_wait_min", "duty", "intensity_low", "intensity_high")
    plain = {key: _as_text(part[key]) for key in texts}
    return {**part, **counts, **plain, "phases": phases, "units": part.get("units", [])}


def _as_text(value: object) -> str:
    if value is None:
        return ""
    return f"{value:.10g}" if isinstance(value, float) else str(value)


def visits_booked_before(store: Store, treatment_id: int, since: date) -> list[BookedThen]:
    """Visits from that date on that keep another version than the one prescribed now, to be told and not changed."""
    with store.reading() as session:
        treatment = treatment_meant(session, the_clinic(session).id or 0, treatment_id)
        return [BookedThen(*row) for row in visits_of_other_versions(session, treatment, since)]


def texts_in_use(store: Store) -> Mapping[str, list[str]]:
    """To suggest as one types: ``body_site``, ``mode``, ``duty``, ``intensity_unit``, ``placement``, ``output``."""
    with store.reading() as session:
        clinic_id = the_clinic(session).id or 0
        return {**used_texts(session, clinic_id), "output": outputs_of(session, clinic_id)}
