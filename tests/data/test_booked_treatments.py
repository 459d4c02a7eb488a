"""Which treatment of the catalogue a visit counts for: booked with it, made from it for one patient, or with none."""

from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from sqlmodel import select

from app.db.store import Store
from app.models import Treatment, Unit
from app.queries.booked_treatments import treatments_of_day
from app.queries.clinics import the_clinic
from app.queries.days import day_row
from app.queries.newest_names import newest_names
from app.queries.visits import BookedWith
from app.services.days import save_day
from app.services.patients import make_patient
from app.services.treatments.catalogue import read_treatment
from app.services.treatments.for_patient import change_for_patient, set_for_patient
from app.services.treatments.writing import change_treatment, make_treatment, retire_treatment
from app.services.use.room import read_range
from solver.reading.documents import part_document
from solver.visits import Visit
from tests.builders import a_day, a_part, a_plan, a_visit, hands_on, placed

BY: dict[str, Any] = {"prescribed_by": "Dr Made Up", "prescribed_on": date(2031, 3, 1), "actor": "test"}
LONG = a_visit(a_part(hands_on(30)), id="V1", patient="P1")
SHORT = a_visit(a_part(hands_on(20)), id="V2", patient="P1")
FILED = a_visit(a_part(hands_on(15)), id="V3", patient="P3")
BRIEF = a_visit(a_part(hands_on(5)), id="V4", patient="P1")
DAY = a_day(LONG, SHORT, FILED)
PLAN = a_plan(DAY, placed(LONG, "09:00"), placed(SHORT, "10:00"), placed(FILED, "11:00"))


def _form(visit: Visit, **changed: Any) -> dict[str, Any]:
    return {"name": "Pads", "same_unit": True, "parts": [part_document(visit.parts[0])], **changed}


@pytest.fixture
def booked(store: Store) -> Store:
    """V1 with a version of the catalogue that is another by now, V2 with the patient's own second version."""
    with store.writing() as session:
        session.add(Unit(clinic_id=the_clinic(session).id or 0, code="U1"))
    base = make_treatment(store, _form(LONG), actor="test")
    version = read_treatment(store, base).version_id
    patient = make_patient(store, "Ann Invented", actor="test")
    own = set_for_patient(store, patient.id, base, _form(LONG, name="For Ann Invented"), **BY)
    change_for_patient(store, own, _form(SHORT, name="For Ann Invented"), read=1, **BY)
    change_treatment(store, base, _form(BRIEF, name="Pads, shorter"), read=1, actor="test")
    change_treatment(store, base, _form(SHORT, name="Pads, renamed"), read=2, actor="test")
    retire_treatment(store, base, read=3, actor="test")
    mine = read_treatment(store, own).version_id
    visits = tuple(replace(visit, patient=patient.code) for visit in (LONG, SHORT))
    day = replace(DAY, visits=(*visits, FILED))
    save_day(store, day, PLAN, read=0, actor="test", booked={"V1": BookedWith(version), "V2": BookedWith(mine)})
    return store


def test_a_visit_counts_for_the_treatment_of_the_catalogue_that_it_is_from(booked: Store) -> None:
    with booked.reading() as session:
        clinic_id = the_clinic(session).id or 0
        row = day_row(session, clinic_id, DAY.date)
        assert row is not None
        found = treatments_of_day(session, row.id or 0)
        codes = {treatment.code for treatment in session.exec(select(Treatment)) if treatment.patient_id is None}
        names = newest_names(session, clinic_id)["treatments"]
    assert found == {"V1": "pads", "V2": "pads"}
    assert len(codes) == 2
    assert names == {"pads": "Pads, renamed"}


def test_a_saved_day_keeps_the_figures_of_its_treatments(booked: Store) -> None:
    rows = read_range(booked, DAY.date, DAY.date, DAY.date).whole["treatments"]
    assert {key: (row["visits_placed"], row["held_min"]) for key, row in rows.items()} == {
        "pads": (2, 50),
        "": (1, 15),
    }
