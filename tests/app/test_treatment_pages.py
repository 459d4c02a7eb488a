"""Treatments, patients, courses and people by CSV, as their pages take them. Everybody in it is invented."""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.services.courses import courses_of_patient
from app.services.patients import find_patients
from app.services.setup.filled import filled_set_up
from app.services.treatments.catalogue import find_treatments, read_treatment
from app.services.treatments.for_patient import treatments_of_patient
from tests.app.clinic_days import HERE, app_in, client_of, plan_at_once, store_of

PADS = {
    "id": "",
    "patient": "",
    "read": "",
    "name": "Pads, one circuit",
    "body_site": "knee",
    "same_unit": "yes",
    "parts[0].id": "pads",
    "parts[0].channels": "pads 1",
    "parts[0].phases[0].min": "5",
    "parts[0].phases[0].hands": "therapist",
    "parts[0].phases[0].running": "",
    "parts[0].phases[1].min": "20",
    "parts[0].phases[1].hands": "nobody",
    "parts[0].phases[1].running": "yes",
    "parts[0].mode": "biphasic",
    "parts[0].intensity_low": "2",
    "parts[0].intensity_high": "8",
    "parts[0].intensity_unit": "mA",
    "parts[0].preparation": "skin clean and dry\nmoistened sponges",
}


@pytest.fixture
def app(tmp_path: Path) -> FastAPI:
    return app_in(tmp_path, plan_at_once)[0]


@pytest.fixture
def client(app: FastAPI) -> Iterator[TestClient]:
    with client_of(app, "administrator", follow_redirects=False) as signed_in:
        yield signed_in


def post(client: TestClient, address: str, fields: dict[str, Any]) -> Any:
    return client.post(address, data=fields, headers=HERE)


def test_a_treatment_is_made_found_and_changed_in_versions(app: FastAPI, client: TestClient) -> None:
    assert post(client, "/treatments/form", PADS).status_code == 303
    (line,) = find_treatments(store_of(app))
    assert (line.name, line.minutes, line.outputs) == ("Pads, one circuit", 25, ("pads",))
    page = client.get(f"/treatments/form?id={line.id}").text
    for text in ("biphasic", "moistened sponges", "Goats 1990", "Do you", "Rand and others 2007"):
        assert (text in page) == (text != "Do you")
    read = re.search(r'name="read" value="(\d+)"', page)
    assert read is not None
    longer = {**PADS, "id": str(line.id), "read": read[1], "parts[0].phases[1].min": "25"}
    assert post(client, "/treatments/form", longer).status_code == 303
    assert read_treatment(store_of(app), line.id).version == 2
    stale = post(client, "/treatments/form", {**longer, "parts[0].phases[1].min": "30"})
    assert stale.status_code == 409
    assert 'value="30"' in stale.text


def test_each_fault_of_a_treatment_stands_at_its_field_and_nothing_typed_is_lost(client: TestClient) -> None:
    wrong = {
        **PADS,
        "name": "",
        "parts[0].channels": "pads none",
        "parts[0].phases[0].min": "",
        "parts[0].intensity_high": "1",
        "parts[0].applicators": "hoods 1",
    }
    answer = post(client, "/treatments/form", wrong)
    assert answer.status_code == 422
    for name in ("name", "parts[0].phases[0].min", "parts[0].intensity_high"):
        assert f'id="{name}-fault"' in answer.text, name
    for text in ("biphasic", "moistened sponges", 'value="20"'):
        assert text in answer.text


def test_parts_are_added_and_taken_out_without_script(client: TestClient) -> None:
    two = post(client, "/treatments/form", {**PADS, "add_part": "yes"}).text
    assert 'name="parts[1].id"' in two
    assert "Pads, one circuit" in two
    one = post(client, "/treatments/form", {**PADS, "parts[1].id": "more", "without_part": "0"}).text
    assert 'value="more"' in one
    assert 'name="parts[1].id"' not in one


def test_a_starting_point_is_not_saved_before_the_clinician_gave_its_minutes(app: FastAPI, client: TestClient) -> None:
    page = client.get("/treatments/form?start=0").text
    assert "Invented, as a start only" in page
    empty = {**PADS, "parts[0].phases[0].min": "", "parts[0].phases[1].min": ""}
    assert post(client, "/treatments/form", empty).status_code == 422
    assert find_treatments(store_of(app)) == []


@pytest.mark.parametrize(
    "address", ["/treatments/form?id=99", "/treatments/form?start=99", "/treatments/form?patient=99"]
)
def test_what_is_not_there_is_not_found(client: TestClient, address: str) -> None:
    assert client.get(address).status_code == 404


def test_the_desk_looks_at_treatments_and_changes_none(app: FastAPI) -> None:
    with client_of(app, "desk", follow_redirects=False) as desk:
        assert "Add a treatment" not in desk.get("/treatments").text
        assert post(desk, "/treatments/form", PADS).status_code == 403


def test_the_filter_finds_by_site_output_channels_and_words(client: TestClient) -> None:
    post(client, "/treatments/form", PADS)
    for query, found in (
        ("body_site=kn", True),
        ("body_site=hip", False),
        ("output=pads", True),
        ("output=cups", False),
        ("channels=0", False),
        ("text=circuit", True),
    ):
        assert ("Pads, one circuit</a>" in client.get(f"/treatments?{query}").text) == found, query


def test_a_patient_is_made_found_and_changed_and_no_address_names_them(app: FastAPI, client: TestClient) -> None:
    made = post(client, "/patients", {"name": "Zoë Quill", "phone": "12", "note": ""})
    assert made.status_code == 303
    assert re.fullmatch(r"/patients/\d+", made.headers["location"])
    rows = client.post("/patients/find", data={"typed": "zoe"}, headers={**HERE, "hx-request": "true"})
    assert "Zoë Quill" in rows.text
    assert "<html" not in rows.text
    id = find_patients(store_of(app), "zoe")[0].id
    changed = {"name": "Zoë Quill-Ray", "phone": "12", "note": "wheelchair", "read": "1"}
    assert post(client, f"/patients/{id}", changed).status_code == 303
    assert post(client, f"/patients/{id}", changed).status_code == 409
    assert post(client, f"/patients/{id}", {**changed, "name": "", "read": "2"}).status_code == 422
    assert client.get("/patients/999").status_code == 404


def test_a_course_is_prescribed_changed_and_ended(app: FastAPI, client: TestClient) -> None:
    post(client, "/treatments/form", PADS)
    store = store_of(app)
    treatment, patient = find_treatments(store)[0], find_patients(store, "ann")[0]
    course = {
        "treatment": str(treatment.id),
        "sessions": "6",
        "least_days": "2",
        "most_days": "4",
        "weekdays": ["0", "2"],
        "hours_from": "09:00",
        "hours_to": "12:00",
        "therapist": "T1",
        "priority": "1",
        "prescribed_by": "Tess Ray",
    }
    address = f"/patients/{patient.id}/course"
    wrong = post(client, address, {**course, "sessions": "many", "most_days": "1"})
    assert wrong.status_code == 422
    assert 'id="sessions-fault"' in wrong.text
    assert 'value="09:00"' in wrong.text
    assert post(client, address, course).status_code == 303
    (line,) = courses_of_patient(store, patient.id)
    assert (line.left, line.form["hours"], line.form["therapist"]) == (6, [["09:00", "12:00"]], "T1")
    assert "on Monday, Wednesday" in client.get(f"/patients/{patient.id}").text
    more = {**course, "course": str(line.id), "read": str(line.version), "sessions": "8"}
    assert post(client, address, more).status_code == 303
    end = {"course": str(line.id), "read": str(line.version + 1), "status": "ended"}
    assert post(client, f"{address}/end", end).status_code == 303
    assert courses_of_patient(store, patient.id)[0].status == "ended"


def test_a_patients_own_parameters_stay_out_of_the_catalogue(app: FastAPI, client: TestClient) -> None:
    post(client, "/treatments/form", PADS)
    store = store_of(app)
    treatment, patient = find_treatments(store)[0], find_patients(store, "ann")[0]
    own = {**PADS, "id": str(treatment.id), "patient": str(patient.id), "parts[0].phases[1].min": "12"}
    refused = post(client, "/treatments/form", own)
    assert refused.status_code == 422
    assert 'id="prescribed_by-fault"' in refused.text
    assert post(client, "/treatments/form", {**own, "prescribed_by": "Tess Ray"}).status_code == 303
    assert [line.minutes for line in treatments_of_patient(store, patient.id)] == [17]
    assert [line.minutes for line in find_treatments(store)] == [25]


def upload(client: TestClient, what: str, content: bytes) -> Any:
    return client.post(f"/set-up/csv/{what}", files={"file": ("people.csv", content)}, headers=HERE)


def hidden(page: str) -> dict[str, str]:
    found = dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)"', page))
    content = re.search(r'<textarea name="content" hidden>([^<]*)</textarea>', page)
    assert content is not None
    return {**found, "content": content[1]}


def test_patients_are_looked_at_and_then_brought_in(app: FastAPI, client: TestClient) -> None:
    page = upload(client, "patients", b"name;phone\nOla Fern;12\n=SUM(A1);3\n").text
    assert "2 new" in page
    assert find_patients(store_of(app), "ola") == []
    assert post(client, "/set-up/csv/patients/bring-in", hidden(page)).status_code == 303
    assert [patient.name for patient in find_patients(store_of(app), "ola")] == ["Ola Fern"]
    again = post(client, "/set-up/csv/patients/bring-in", hidden(page))
    assert again.status_code == 409


def test_faults_of_a_file_are_told_by_line_and_nothing_comes_in(app: FastAPI, client: TestClient) -> None:
    page = upload(client, "staff", b"code,name,kind\nT9,Nia Reed,surgeon\n,,\n")
    assert page.status_code == 200
    assert "line 2, kind" in page.text
    assert "Bring it in</button>" not in page.text
    assert upload(client, "staff", b"\xff\xfe\x00").status_code == 422
    assert post(client, "/set-up/csv/staff", {}).status_code == 422
    assert post(client, "/set-up/csv/staff/bring-in", {"content": "%%%"}).status_code == 400


def test_staff_that_are_brought_in_are_set_up(app: FastAPI, client: TestClient) -> None:
    content = b"code,name,kind,skills,watch free,monday\nT9,Nia Reed,therapist,ultrasound|suction,2,09:00-12:00\n"
    page = upload(client, "staff", content).text
    assert post(client, "/set-up/csv/staff/bring-in", hidden(page)).status_code == 303
    staff = {one.form.code: one.form for one in filled_set_up(store_of(app)).staff}
    assert staff["T9"].name == "Nia Reed"
