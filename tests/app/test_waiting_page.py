"""The waiting list over HTTP, as a browser without script gets it: a patient chosen, put on, booked from it, undone."""

import re
from datetime import date
from html import unescape
from urllib.parse import parse_qsl

import pytest
from starlette.testclient import TestClient

from app.services.courses import prescribe
from app.services.visits.about import visit_ids
from app.services.visits.waiting import waiting_list
from tests.app.clinic_days import HERE, client_of
from tests.app.openings_clinic import Clinic
from tests.app.test_openings_page import fields_of
from tests.data.front_desk import limits


@pytest.fixture
def client(clinic: Clinic) -> TestClient:
    return client_of(clinic.app, follow_redirects=False)


def offered(html: str) -> list[str]:
    return re.findall(r'<b class="num">([^<]*)</b>', html)


def put_ann_on(client: TestClient, clinic: Clinic, **more: str | list[str]) -> int:
    sent = {"patient": str(clinic.desk.ann), "treatment": str(clinic.treatment), "priority": "2", **more}
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


def test_the_date_that_was_asked_for_stays_whatever_is_done(client: TestClient, clinic: Clinic) -> None:
    page = client.get("/waiting?date=2031-03-10").text
    (ask,) = re.findall(r'name="ask" value="([^"]*)"', page)
    assert ask == "date=2031-03-10"
    found = client.post("/waiting/find", data={"typed": "ann", "who": "patient", "ask": ask}, headers=HERE)
    address = found.headers["location"]
    assert address == f"/waiting?date=2031-03-10&patient={clinic.desk.ann}"
    html = client.get(address).text
    form = html.split('action="/waiting" class="stack"')[1]
    sent = dict(re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', form)) | {
        "treatment": str(clinic.treatment),
        "priority": "2",
    }
    assert 'type="date" name="date" value="2031-03-10"' in html
    wrong = client.post("/waiting", data=sent | {"hours": "9"}, headers=HERE).text
    assert 'type="date" name="date" value="2031-03-10"' in wrong
    assert client.post("/waiting", data=sent, headers=HERE).headers["location"] == "/waiting?date=2031-03-10"
    (line,) = waiting_list(clinic.desk.store)
    assert f'href="/waiting?date=2031-03-10&amp;change={line.id}#form"' in client.get("/waiting?date=2031-03-10").text
    off = client.post(f"/waiting/{line.id}/off", data={"read": "1", "date": "2031-03-10"}, headers=HERE)
    assert off.headers["location"] == "/waiting?date=2031-03-10"
    odd = {"typed": "ann", "who": "patient", "ask": "date=1%0d%0aSet-Cookie:x=1"}
    assert (
        client.post("/waiting/find", data=odd, headers=HERE).headers["location"]
        == f"/waiting?patient={clinic.desk.ann}"
    )


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


def test_when_and_with_whom_they_can_come_is_what_openings_are_looked_for_with(
    client: TestClient, clinic: Clinic
) -> None:
    id = put_ann_on(client, clinic, weekdays=["0", "2"], hours="10:00-12:00", therapist="T1")
    address = client.get(f"/waiting/{id}/book").headers["location"]
    assert dict(parse_qsl(address.split("?")[1])) == {
        "patient": str(clinic.desk.ann),
        "what": f"t{clinic.treatment}",
        "waiting": str(id),
        "weekdays": "02",
        "after": "10:00",
        "before": "12:00",
        "therapist": "T1",
    }
    html = client.get(address).text
    assert re.findall(r'name="weekday" value="(\d)" checked', html) == ["0", "2"]
    assert '<option value="T1" selected>' in html
    assert 'id="fold-limits" open' in html
    assert set(offered(html)) == {"Wed 5 Mar 10:00–10:20", "Wed 5 Mar 10:30–10:50", "Wed 5 Mar 11:00–11:20"} | {
        f"{date} Mar {times}"
        for date in ("Mon 10", "Wed 12", "Mon 17")
        for times in ("10:00–10:20", "10:30–10:50", "11:00–11:20")
    }


def test_of_several_times_they_are_held_to_all_until_hours_are_filled_in(client: TestClient, clinic: Clinic) -> None:
    id = put_ann_on(client, clinic, weekdays=["0"], hours="09:00-09:40, 16:40-17:00")
    address = client.get(f"/waiting/{id}/book").headers["location"]
    html = client.get(address).text
    assert "Can come 09:00–09:40 or 16:40–17:00" in html
    assert offered(html)[:3] == ["Mon 3 Mar 16:40–17:00", "Mon 10 Mar 09:00–09:20", "Mon 10 Mar 16:40–17:00"]
    assert offered(client.get(f"{address}&after=11").text)[-1].endswith("Mar 12:00–12:20")


def test_who_has_a_course_of_it_is_booked_for_a_session_of_that(client: TestClient, clinic: Clinic) -> None:
    form = {"sessions": "2", "least_days": "1", "most_days": "9", "prescribed_by": "Dr Example"}
    store, ann, on = clinic.desk.store, clinic.desk.ann, date(2031, 3, 3)
    course = prescribe(store, ann, clinic.treatment, form, prescribed_on=on, actor="test")
    id = put_ann_on(client, clinic)
    assert f"&what=c{course}&" in client.get(f"/waiting/{id}/book").headers["location"]
    prescribe(store, ann, clinic.treatment, form, prescribed_on=on, actor="test")
    assert f"&what=t{clinic.treatment}&" in client.get(f"/waiting/{id}/book").headers["location"]


def test_whoever_fits_what_became_free_is_booked_into_just_that(client: TestClient, clinic: Clinic) -> None:
    booked = clinic.desk.booked(limits(1, wish=600), clinic.desk.bea)
    put_ann_on(client, clinic, hours="08:00-16:00", therapist="T1")
    (visit,) = visit_ids(clinic.desk.store, booked.date).values()
    gone = client.post(f"/visit/{visit}/cancelled", data={"seen": "0", "reason": "is ill"}, headers=HERE)
    html = client.get(gone.headers["location"]).text
    (address,) = re.findall(r'href="(/waiting/\d+/book[^"]*)"', html)
    chosen = client.get(client.get(unescape(address)).headers["location"]).text
    assert "Ann Early: Monday 10 March 2031, 10:00–10:20" in chosen
    done = client.post("/openings/book", data=fields_of(chosen, "/openings/book"), headers=HERE).text
    assert "Off the waiting list." in done


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
