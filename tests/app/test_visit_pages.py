"""The pages of a visit and the calendars, as people use them."""

import re
from datetime import datetime
from pathlib import Path

import pytest
from fastapi import FastAPI
from icalendar import Calendar

from app.roles import Role
from tests.app.clinic_days import ADDRESS, HERE, app_in, client_of, plan_at_once
from tests.app.visit_pages import row_of


@pytest.fixture
def app(tmp_path: Path) -> FastAPI:
    made, _ = app_in(tmp_path, plan_at_once, lambda: datetime(2031, 3, 4, 8, 30))
    return made


def test_a_visit_is_cancelled_and_taken_back_from_its_page(app: FastAPI) -> None:
    visit = f"/visit/{row_of(app, 'V1')}"
    with client_of(app) as client:
        page = client.get(visit).text
        assert "Ann Early" in page
        assert "Tuesday 4 March 2031, 09:00 to 09:20" in page
        refused = client.post(f"{visit}/cancelled", data={"seen": "0", "reason": ""}, headers=HERE)
        assert (refused.status_code, "reason: nothing stands here; give why" in refused.text) == (422, True)
        gone = client.post(f"{visit}/cancelled", data={"seen": "0", "reason": "is ill"}, headers=HERE)
        assert gone.status_code == 200
        assert "before it left the day" in gone.text
        assert "Nobody who waits fits it." in gone.text
        assert "Ann Early" not in client.get(ADDRESS).text
        late = client.post(f"{visit}/arrived", data={"seen": "0"}, headers=HERE)
        assert late.status_code == 409
        back = client.post(f"{visit}/undo", data={"seen": "1"}, headers=HERE)
        assert "taken back: booked" in back.text
        assert "Ann Early" in client.get(ADDRESS).text


def test_a_therapist_may_say_who_came_and_not_cancel(app: FastAPI) -> None:
    visit = f"/visit/{row_of(app, 'V1')}"
    with client_of(app, "therapist") as client:
        page = client.get(visit).text
        assert "Arrived" in page
        assert "Cancel the visit" not in page
        assert client.post(f"{visit}/cancelled", data={"seen": "0", "reason": "x"}, headers=HERE).status_code == 403
        assert "arrived" in client.post(f"{visit}/arrived", data={"seen": "0"}, headers=HERE).text


def test_what_a_patient_was_told_is_kept_and_said(app: FastAPI) -> None:
    visit = f"/visit/{row_of(app, 'V1')}"
    with client_of(app) as client:
        page = client.post(f"{visit}/told", data={"seen": "0", "read": "1"}, headers=HERE).text
        assert "09:00 on Rowan in F1 with Tess Ray" in page
        assert "Patient was told" not in page
        gone = client.post(f"{visit}/cancelled", data={"seen": "0", "reason": "is ill"}, headers=HERE).text
        assert "09:00 on Rowan in F1 with Tess Ray" in gone
        assert "not so any more" in gone


def test_the_day_page_leads_to_each_visit(app: FastAPI) -> None:
    with client_of(app) as client:
        assert f'href="/visit/{row_of(app, "V1")}"' in client.get(ADDRESS).text


def test_the_slip_says_no_treatment_and_the_file_no_patient(app: FastAPI) -> None:
    visit = f"/visit/{row_of(app, 'V1')}"
    with client_of(app) as client:
        slip = client.get(f"{visit}/slip").text
        main = slip[slip.index("<main") :]
        assert "Rowan Street" in main
        assert "09:00 to 09:20" in main
        for word in ("Ann Early", "ultrasound", "p1"):
            assert word not in main
        answer = client.get(f"{visit}/calendar.ics")
        assert answer.headers["content-type"] == "text/calendar; charset=utf-8"
        (event,) = Calendar.from_ical(answer.content).walk("VEVENT")
        assert str(event["summary"]) == "Appointment at Rowan Street"
        assert b"Ann" not in answer.content
        out = f"/visit/{row_of(app, 'V4')}"
        assert client.get(f"{out}/slip").status_code == 404
        assert client.get(f"{out}/calendar.ics").status_code == 404
        assert client.get("/visit/99999999999").status_code == 404


@pytest.mark.parametrize(("role", "makes"), [("therapist", True), ("administrator", True), ("desk", False)])
def test_a_feed_is_made_read_without_signing_in_and_ended(app: FastAPI, role: Role, makes: bool) -> None:
    with client_of(app, role) as client, client_of(app, None) as outside:
        page = client.post("/feeds", data={"staff": "T1"}, headers=HERE)
        if not makes:
            assert page.status_code == 422
            return
        found = re.search(r"/feed/[\w-]+\.ics", page.text)
        assert found is not None
        content = outside.get(found[0]).content
        assert len(Calendar.from_ical(content).walk("VEVENT")) == 3
        for name in (b"Ann", b"Bea", b"Cy"):
            assert name not in content
        ended = re.search(r"/feeds/\d+/end", page.text)
        assert ended is not None
        client.post(ended[0], headers=HERE)
        assert outside.get(found[0]).status_code == 404
        assert outside.get("/feed/none.ics").status_code == 404
