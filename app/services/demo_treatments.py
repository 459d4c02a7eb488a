"""The invented clinic's catalogue, from what its day has, a few courses, and who waits.

Every minute and setting is invented.
"""

import datetime
from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from app.db.store import Store
from app.queries.catalogue import current_versions
from app.queries.clinics import the_clinic
from app.services.courses import prescribe
from app.services.patients import find_patients
from app.services.treatments.catalogue import find_treatments
from app.services.treatments.writing import make_treatment
from app.services.visits.waiting import WaitingForm, put_on
from solver.problem import Day
from solver.reading.documents import part_document
from solver.visits import Visit

SITES = ("shoulder", "knee", "lower back", "neck", "ankle")
PREPARATION = {
    "ultrasound": ("skin clean and dry", "gel"),
    "pads": ("skin clean and dry", "moistened sponges"),
    "cups": ("skin clean and dry", "moistened sponges in the cups"),
}
WITH_COURSES = 6
WAITING = (
    (12, WaitingForm(priority="1", hours="08:00-12:00")),
    (9, WaitingForm(priority="3", weekdays=("0", "2", "4"))),
    (4, WaitingForm(priority="1", therapist="noor", note="can come at short notice")),
)
"""For how many days somebody has waited, and what they wish for."""


def make_demo_treatments(store: Store, day: Day, *, actor: str) -> None:
    """A treatment for each kind of visit of the day, named by what it is and how long it takes."""
    known: set[str] = set()
    names = _names(day)
    for visit in day.visits:
        name = names[visit.id]
        if name not in known:
            site = SITES[len(known) % len(SITES)]
            make_treatment(store, _form(visit, name, site), actor=actor)
            known.add(name)


def versions_of(store: Store, day: Day) -> dict[str, int]:
    """By visit, the version of the treatment that was made for its kind."""
    with store.reading() as session:
        rows = current_versions(session, the_clinic(session).id or 0, None, retired=False)
    made = {treatment.name: version.id or 0 for treatment, version in rows}
    return {visit: made[name] for visit, name in _names(day).items()}


def prescribe_demo_courses(store: Store, date: datetime.date, prescriber: str, *, actor: str) -> None:
    """A course for the first few patients, one treatment of the catalogue each."""
    treatments = find_treatments(store)
    for number, patient in enumerate(find_patients(store, "", most=WITH_COURSES)):
        form = {"sessions": "6", "least_days": "2", "most_days": "7", "prescribed_by": prescriber}
        treatment = treatments[number % len(treatments)]
        prescribe(store, patient.id, treatment.id, form, prescribed_on=date, actor=actor)


def let_demo_patients_wait(store: Store, now: datetime.datetime, *, actor: str) -> None:
    """The next few patients are on the waiting list, each with other wishes."""
    treatments = find_treatments(store)
    patients = find_patients(store, "", most=WITH_COURSES + len(WAITING))[WITH_COURSES:]
    for number, (patient, (days, wishes)) in enumerate(zip(patients, WAITING, strict=True)):
        form = replace(wishes, patient=str(patient.id), treatment=str(treatments[number % len(treatments)].id))
        put_on(store, form, actor=actor, at=now - datetime.timedelta(days=days))


def _names(day: Day) -> dict[str, str]:
    """By visit, the name of its treatment: parts and minutes, and more where those do not tell two kinds apart."""
    names: dict[str, str] = {}
    first: dict[str, dict[str, Any]] = {}
    for visit in day.visits:
        listed = ", then ".join(f"{part.id} {part.minutes} min" for part in visit.parts)
        name = f"{listed[:1].upper()}{listed[1:]}"
        form = _form(visit, name, "")
        names[visit.id] = name if first.setdefault(name, form) == form else f"{name} ({_apart(visit)})"
    return names


def _apart(visit: Visit) -> str:
    part = visit.parts[0]
    if part.suction_kpa is not None:
        return f"{part.suction_kpa} kPa"
    return f"{', '.join(part.applicators)}, set up by {'a therapist' if part.needs_therapist else 'anyone'}"


def _form(visit: Visit, name: str, site: str) -> dict[str, Any]:
    parts = [{**part_document(part), "preparation": list(_steps(part.channels))} for part in visit.parts]
    return {"name": name, "body_site": site, "same_unit": visit.same_unit, "parts": parts}


def _steps(outputs: Iterable[str]) -> dict[str, None]:
    """What to prepare for the outputs, each step once."""
    return dict.fromkeys(step for output in outputs for step in PREPARATION.get(output, ()))
