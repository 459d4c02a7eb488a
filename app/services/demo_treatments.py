"""The invented clinic's catalogue, from what its day has, and a few courses. Every minute and setting is invented."""

import datetime
from collections.abc import Iterable
from typing import Any

from app.db.store import Store
from app.services.courses import prescribe
from app.services.patients import find_patients
from app.services.treatments.catalogue import find_treatments
from app.services.treatments.writing import make_treatment
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


def make_demo_treatments(store: Store, day: Day, *, actor: str) -> None:
    """A treatment for each kind of visit of the day, named by what it is and how long it takes."""
    known: set[str] = set()
    for visit in day.visits:
        name = _name(visit)
        if name not in known:
            site = SITES[len(known) % len(SITES)]
            make_treatment(store, _form(visit, name, site), actor=actor)
            known.add(name)


def prescribe_demo_courses(store: Store, date: datetime.date, prescriber: str, *, actor: str) -> None:
    """A course for the first few patients, one treatment of the catalogue each."""
    treatments = find_treatments(store)
    for number, patient in enumerate(find_patients(store, "", most=WITH_COURSES)):
        form = {"sessions": "6", "least_days": "2", "most_days": "7", "prescribed_by": prescriber}
        treatment = treatments[number % len(treatments)]
        prescribe(store, patient.id, treatment.id, form, prescribed_on=date, actor=actor)


def _name(visit: Visit) -> str:
    named = ", then ".join(f"{part.id} {part.minutes} min" for part in visit.parts)
    return f"{named[:1].upper()}{named[1:]}"


def _form(visit: Visit, name: str, site: str) -> dict[str, Any]:
    parts = [{**part_document(part), "preparation": list(_steps(part.channels))} for part in visit.parts]
    return {"name": name, "body_site": site, "same_unit": visit.same_unit, "parts": parts}


def _steps(outputs: Iterable[str]) -> dict[str, None]:
    """What to prepare for the outputs, each step once."""
    return dict.fromkeys(step for output in outputs for step in PREPARATION.get(output, ()))
