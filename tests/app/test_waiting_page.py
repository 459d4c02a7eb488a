"""The waiting list over HTTP, as a browser without script gets it: a patient chosen, put on, booked from it, undone."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from app.services.visits.waiting import waiting_list
from tests.app.clinic_days import HERE, client_of
from tests.app.openings_clinic import Clinic, clinic_in
from tests.app.test_openings_page import fields_of


@pytest.fixture
def clinic(tmp_path: Path) -> Iterator[Clinic]:
    made = clinic_in(tmp_path)
    yield made
    made.desk.store.close()


@pytest.fixture
def client(clinic: Clinic) -> TestClient:
    return client_of(clinic.app, follow_redirects=False)


def put_ann_on(client: TestClient, clinic: Clinic) -> int:
    sent = {"patient": str(clinic.desk.ann), "treatment": str(clinic.treatment), "priority": "2"}
    assert client.post("/waiting", data=sent, headers=HERE).status_code == 303
    (line,) = waiting_list(clinic.desk.store)
    return line.id


def test_the_one_patient_who_is_found_is_chosen_and_no_address_has_the_name(client: TestClient, clinic: Clinic) -> None:
    answer = client.post("/waiting/find", data={"typed": "ann", "who": "patient", "ask": ""}, headers=HERE)
    assert (answer.status_code, answer.headers["location"]) == (303, f"/waiting?patient={clinic.desk.ann}")
    html = client.get(answer.headers["location"]).text
    assert "<b>Ann Early</b>" in html
    assert f'name="patient" value="{clinic.desk.ann}"' in html
    put_ann_on(client, clinic)
    assert not re.search(r'(href|action|hx-\w+)="[^"]*(Ann|Early)', client.get("/waiting").text)


def test_of_several_who_are_found_one_is_chosen_by_a_link(client: TestClient, clinic: Clinic) -> None:
    made = client.post("/waiting/patient", data={"name": "Ann Other", "phone": "", "ask": ""}, headers=HERE)
    assert made.status_code == 303
    html = client.post("/waiting/find", data={"typed": "ann", "who": "patient", "ask": ""}, headers=HERE).text
    assert [f'href="/waiting?patient={id}"' in html for id in (clinic.desk.ann, clinic.desk.bea)] == [True, False]
    assert "Ann Other" in client.get(made.headers["location"]).text


def test_by_htmx_only_the_patients_come_with_a_form_for_a_new_one(client: TestClient) -> None:
    sent, by_htmx = {"typed": "zzz", "who": "patient", "ask": ""}, {**HERE, "hx-request": "true"}
    html = client.post("/waiting/find", data=sent, headers=by_htmx).text
    assert "<html" not in html
    assert "Nobody of that name." in html
    assert 'action="/waiting/patient"' in html


def test_a_new_patient_without_a_name_is_refused_in_a_line(client: TestClient) -> None:
    answer = client.post("/waiting/patient", data={"name": " ", "phone": ""}, headers=HERE)
    assert (answer.status_code, answer.text.count('id="patient-fault"')) == (422, 1)


def test_what_is_filled_in_wrong_is_said_and_kept(client: TestClient, clinic: Clinic) -> None:
    sent = {"patient": "Nobody", "treatment": "0", "priority": "x", "hours": "9", "note": "rings first"}
    wrong = client.post("/waiting", data=sent, headers=HERE)
    assert wrong.status_code == 422
    for said in ("nobody is chosen", "there is no such treatment", "is no priority", 'value="rings first"'):
        assert said in wrong.text
    other = client.post("/waiting", data=sent | {"patient": str(clinic.desk.ann)}, headers=HERE).text
    assert "<b>Ann Early</b>" in other
    assert "nobody is chosen" not in other
    assert client.get("/waiting?date=nonsense&patient=nonsense").status_code == 200
    assert client.post("/waiting/1/off", data={"read": "1"}, headers=HERE).status_code == 422


def test_who_waits_is_booked_off_the_list_and_undo_puts_them_back(client: TestClient, clinic: Clinic) -> None:
    id = put_ann_on(client, clinic)
    address = client.get(f"/waiting/{id}/book").headers["location"]
    assert address == f"/openings?patient={clinic.desk.ann}&what=t{clinic.treatment}&waiting={id}"
    assert "From the waiting list" in client.get(address).text
    chosen = client.get(f"{address}&date=2031-03-10&at=10:00").text
    booked = client.post("/openings/book", data=fields_of(chosen, "/openings/book"), headers=HERE)
    assert "Off the waiting list." in booked.text
    assert waiting_list(clinic.desk.store) == []
    assert client.get(f"/waiting/{id}/book").status_code == 404
    undone = client.post("/openings/undo", data=fields_of(booked.text, "/openings/undo"), headers=HERE)
    assert "On the waiting list again." in undone.text
    assert [line.id for line in waiting_list(clinic.desk.store)] == [id]


def test_another_patient_on_that_page_is_not_the_one_who_waits(client: TestClient, clinic: Clinic) -> None:
    id = put_ann_on(client, clinic)
    asked = clinic.ask(f"&waiting={id}", clinic.desk.bea)
    assert "From the waiting list" not in client.get(asked).text
    chosen = client.get(f"{asked}&date=2031-03-10&at=10:00").text
    booked = client.post("/openings/book", data=fields_of(chosen, "/openings/book"), headers=HERE)
    assert (booked.status_code, "Off the waiting list" in booked.text) == (200, False)
    assert len(waiting_list(clinic.desk.store)) == 1


def test_a_therapist_looks_and_puts_nobody_on(clinic: Clinic) -> None:
    client = client_of(clinic.app, "therapist")
    assert "/waiting/find" not in client.get("/waiting").text
    assert client.post("/waiting/find", data={"typed": "ann"}, headers=HERE).status_code == 403
