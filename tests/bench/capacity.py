"""``python -m tests.bench.capacity``: how long eight weeks of capacity take, with every day booked as one of size M.

Courses of twelve sessions and a waiting list ask for what the day's own visits are treated with, so many that hours are
full. What is timed is what the page asks for.
"""

import datetime
import sys
import tempfile
from pathlib import Path
from time import perf_counter

from sqlmodel import select

from app.db.store import Store
from app.models import Course, Patient, TreatmentVersion, Waiting
from app.models.columns import now
from app.services.use.capacity import WEEKS, capacity
from app.services.use.hours_to_open import hours_to_open
from tests.bench.set_up import FIRST, booked

COURSES, WAITING = 150, 100
OPEN_DAYS = 5 * WEEKS
REPEATS = 3
GOAL_S = 1.0


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        store = booked(str(Path(folder) / "clinic.db"), OPEN_DAYS)
        _ask(store)
        seconds = [_timed(store) for _ in range(REPEATS)]
        found = capacity(store, FIRST - datetime.timedelta(days=1), WEEKS)
        hours = hours_to_open(found)
        said = ", ".join(f"{one.name} {one.full or 'not'}" for one in found.resources)
        _say(f"best of {REPEATS}: {min(seconds):.3f} s, worst {max(seconds):.3f} s; the goal was {GOAL_S:.1f} s")
        _say(
            f"{len(found.asked)} sessions asked for within the weeks; full: {said}; {len(hours)} hours would take some"
        )
        store.close()


def _ask(store: Store) -> None:
    with store.writing() as session:
        patients = session.exec(select(Patient.id, Patient.clinic_id)).all()
        versions = session.exec(select(TreatmentVersion.id)).all()
        for patient in session.exec(select(Patient)):
            patient.name = patient.name or patient.code
        for n in range(COURSES + WAITING):
            patient_id, clinic_id = patients[n % len(patients)]
            version = versions[n % len(versions)] or 0
            if n < COURSES:
                session.add(
                    Course(
                        patient_id=patient_id or 0,
                        treatment_version_id=version,
                        sessions=12,
                        least_days=2,
                        most_days=3,
                    )
                )
            else:
                session.add(
                    Waiting(clinic_id=clinic_id, patient_id=patient_id or 0, treatment_version_id=version, since=now())
                )


def _timed(store: Store) -> float:
    began = perf_counter()
    hours_to_open(capacity(store, FIRST - datetime.timedelta(days=1), WEEKS))
    return perf_counter() - began


def _say(line: str) -> None:
    sys.stdout.write(line + "\n")


if __name__ == "__main__":
    main()
