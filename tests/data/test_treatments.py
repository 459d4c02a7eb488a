"""Treatments of the catalogue and of one patient: made, found, changed, kept with what was booked. All invented."""

from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from sqlmodel import Session, select

from app.db.store import Store
from app.errors import StaleRecordError
from app.models import Applicator, Audit, BookedVisit, Patient, TreatmentVersion, Unit
from app.queries.clinics import the_clinic
from app.services.days import kept_day, save_day
from app.services.forgetting import forget_patient
from app.services.patients import make_patient
from app.services.treatments.catalogue import Asked, find_treatments, read_treatment, texts_in_use, visits_booked_before
from app.services.treatments.for_patient import change_for_patient, set_for_patient, treatments_of_patient
from app.services.treatments.writing import (
    bring_back_treatment,
    change_treatment,
    make_treatment,
    retire_treatment,
)
from solver.errors import InputError
from tests.builders import A_DATE, a_day, a_part, a_visit, hands_on

Form = dict[str, Any]


def _part(**changed: Any) -> Form:
    phases = [{"min": "10", "hands": "therapist", "running": True}]
    return {"id": "p1", "channels": {"pads": "1"}, "phases": phases, **changed}


def _form(*parts: Form, **changed: Any) -> Form:
    return {"name": "Knee pads", "body_site": "knee", "same_unit": True, "parts": list(parts or (_part(),)), **changed}


def _full() -> Form:
    settings: Form = {"mode": "biphasic", "duty": "1:4", "intensity_low": "0.5", "intensity_high": "1,5"}
    settings |= {"intensity_unit": "W/cm²", "placement": "both sides", "preparation": ["skin clean and dry", "gel"]}
    return _form(_part(**settings, applicators={"heads": "2"}, units=["U1"], suction_kpa="20", max_wait_min="5"))


def _things(session: Session) -> None:
    clinic_id = the_clinic(session).id or 0
    session.add_all([Unit(clinic_id=clinic_id, code="U1"), Applicator(clinic_id=clinic_id, code="heads")])


@pytest.fixture
def made(store: Store) -> Store:
    with store.writing() as session:
        _things(session)
    return store


def test_what_is_made_is_read_again_as_it_was_given(made: Store) -> None:
    id = make_treatment(made, _full(), actor="test")
    read = read_treatment(made, id)
    (part,) = read.form["parts"]
    assert (read.version, read.edition, read.form["body_site"]) == (1, 1, "knee")
    assert (part["intensity_low"], part["intensity_high"], part["duty"]) == ("0.5", "1.5", "1:4")
    assert (part["applicators"], part["units"], part["suction_kpa"]) == ({"heads": "2"}, ["U1"], "20")
    assert part["preparation"] == ["skin clean and dry", "gel"]
    assert change_treatment(made, id, read.form, read=1, actor="test") == 1
    assert read_treatment(made, id) == read


def test_every_mistake_of_a_form_is_named_in_one_pass(made: Store) -> None:
    bad = _part(channels={"pads": "0"}, suction_kpa="much", units=["U9"], applicators={"cups": "1"})
    bad["phases"] = [{"min": "", "hands": "someone", "running": True}]
    bad |= {"intensity_low": "2", "intensity_high": "1", "preparation": ["x" * 201]}
    with pytest.raises(InputError) as refused:
        make_treatment(made, _form(bad, name=" "), actor="test")
    assert {fault.where for fault in refused.value.faults} == {
        "name",
        "parts[0].channels.pads",
        "parts[0].suction_kpa",
        "parts[0].phases[0].min",
        "parts[0].phases[0].hands",
        "parts[0].units[0]",
        "parts[0].applicators.cups",
        "parts[0].intensity_high",
        "parts[0].intensity_unit",
        "parts[0].preparation[0]",
    }
    assert find_treatments(made) == []


def test_a_change_of_settings_alone_is_a_version_and_going_back_is_none(made: Store) -> None:
    id = make_treatment(made, _form(), actor="test")
    other = _form(_part(mode="pulsed"))
    assert change_treatment(made, id, other, read=1, actor="test") == 2
    with pytest.raises(StaleRecordError):
        change_treatment(made, id, _form(), read=1, actor="test")
    assert change_treatment(made, id, _form(), read=2, actor="test") == 1
    with made.reading() as session:
        versions = session.exec(select(TreatmentVersion)).all()
        said = session.exec(select(Audit.action, Audit.record)).all()[1:]
    assert len(versions) == 2
    assert len({row.scheduling_digest for row in versions}) == 1
    assert len({row.digest for row in versions}) == 2
    record = f"treatment {id}"
    assert said == [("made", record), ("changed", record), ("changed", record)]


def test_treatments_are_found(made: Store) -> None:
    make_treatment(made, _full(), actor="test")
    both = _part(channels={"ultrasound": "1", "pads": "1"})
    make_treatment(made, _form(both, name="Épaule", body_site="left shoulder"), actor="test")
    asked = {
        "knee": Asked(body_site="KNE"),
        "shoulder": Asked(output="ultrasound"),
        "heads": Asked(applicator="heads"),
        "one": Asked(channels=1),
        "text": Asked(text="epau pads"),
    }
    found = {key: [line.name for line in find_treatments(made, wanted)] for key, wanted in asked.items()}
    pads, other = ["Knee pads"], ["Épaule"]
    assert found == {"knee": pads, "shoulder": other, "heads": pads, "one": pads, "text": other}
    assert [line.channels for line in find_treatments(made)] == [1, 2]
    assert texts_in_use(made)["body_site"] == ["knee", "left shoulder"]


def test_one_that_is_retired_is_not_shown_until_it_is_brought_back(made: Store) -> None:
    id = make_treatment(made, _form(), actor="test")
    retire_treatment(made, id, read=1, actor="test")
    assert find_treatments(made) == []
    assert [line.is_retired for line in find_treatments(made, Asked(with_retired=True))] == [True]
    bring_back_treatment(made, id, read=2, actor="test")
    assert [line.id for line in find_treatments(made)] == [id]


def test_a_visit_keeps_the_version_it_was_booked_with(made: Store) -> None:
    id = make_treatment(made, _form(), actor="test")
    day = a_day(a_visit(a_part(hands_on(10))))
    save_day(made, day, None, read=0, actor="test")
    longer = _part(phases=[{"min": "15", "hands": "therapist", "running": True}])
    assert change_treatment(made, id, _form(longer), read=1, actor="test") == 2
    (booked,) = visits_booked_before(made, id, A_DATE)
    assert (booked.date, booked.visit, booked.version) == (A_DATE, "V1", 1)
    assert visits_booked_before(made, id, A_DATE.replace(day=5)) == []
    kept = kept_day(made, A_DATE)
    assert kept is not None
    assert kept.day == day


def test_a_visit_that_is_moved_stays_with_its_settings(made: Store) -> None:
    id = make_treatment(made, _form(), actor="test")
    change_treatment(made, id, _form(_part(mode="pulsed")), read=1, actor="test")
    day = a_day(a_visit(a_part(hands_on(10))))
    save_day(made, day, None, read=0, actor="test")
    with made.writing() as session:
        row = session.exec(select(BookedVisit)).one()
        row.treatment_version_id = read_treatment(made, id).version_id
        session.add(row)
    save_day(made, replace(day, visits=(replace(day.visits[0], wish=600),)), None, read=1, actor="test")
    with made.reading() as session:
        versions = {row.treatment_version_id for row in session.exec(select(BookedVisit))}
    assert versions == {read_treatment(made, id).version_id}


def test_a_patients_own_parameters_are_in_no_catalogue(made: Store) -> None:
    base = make_treatment(made, _form(), actor="test")
    ann = make_patient(made, "Ann Invented", actor="test").id
    by: Form = {"prescribed_by": "Dr Made Up", "prescribed_on": date(2031, 3, 1), "actor": "test"}
    own = set_for_patient(made, ann, base, _form(_part(mode="pulsed")), **by)
    assert [line.id for line in find_treatments(made, Asked(with_retired=True))] == [base]
    assert [line.id for line in treatments_of_patient(made, ann)] == [own]
    read = read_treatment(made, own)
    assert (read.based_on_id, read.prescribed_by) == (read_treatment(made, base).version_id, "Dr Made Up")
    assert change_for_patient(made, own, read.form, read=1, note="less", **by) == 2
    with pytest.raises(InputError, match="it is a patient's own"):
        change_treatment(made, own, read.form, read=2, actor="test")
    with pytest.raises(InputError, match="the prescriber's name"):
        set_for_patient(made, ann, base, _form(), **{**by, "prescribed_by": ""})


def test_a_patient_who_is_forgotten_is_in_no_text_of_a_treatment(made: Store) -> None:
    name = "Ottoline Quarrie"
    patient = make_patient(made, name, phone="555 0100", note=f"{name} rings twice", actor="test")
    other = make_patient(made, "Bo Invented", note=f"comes with {name}", actor="test")
    base = make_treatment(made, _form(), actor="test")
    own = _form(_part(mode=f"as {name} bears", preparation=[f"ask {name}"]), name=f"For {name}", body_site=name)
    by: Form = {"prescribed_by": name, "prescribed_on": A_DATE, "note": f"{name} agreed", "actor": "test"}
    id = set_for_patient(made, patient.id, base, own, **by)
    forget_patient(made, patient.code)
    texts = (read_treatment(made, id), treatments_of_patient(made, patient.id))
    with made.reading() as session:
        rows = session.exec(select(Patient)).all()
    assert texts[0].note == ""
    assert "quarrie" not in f"{texts} {rows}".lower()
    assert "555" not in str(rows)
    assert {row.id: row.note for row in rows} == {patient.id: "", other.id: f"comes with forgotten-{patient.id}"}
