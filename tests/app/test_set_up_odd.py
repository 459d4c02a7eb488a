"""The Set-up room and what nobody expects: odd codes, odd requests, retired things in use, days when clocks change."""

import datetime
import html
import re

import pytest
from fastapi.testclient import TestClient

from app.db.store import Store
from app.services.treatments.catalogue import read_treatment
from app.services.treatments.writing import make_treatment
from tests.app.set_up_forms import fault_at, filled_in, form_at, made, manager, store
from tests.data.set_up_clinic import filled

__all__ = ["made", "manager", "store"]


def test_a_retired_thing_that_a_treatment_asks_for(store: Store, manager: TestClient) -> None:
    """The treatment stays as it is prescribed and can be read; what is booked with it was said before."""
    phases = [{"min": "10", "hands": "therapist", "running": True}]
    part = {
        "id": "p1",
        "channels": {"ultrasound": "1"},
        "applicators": {"heads": "1"},
        "units": ["U2"],
        "phases": phases,
    }
    form = {"name": "With a head", "body_site": "knee", "same_unit": True, "parts": [part]}
    id = make_treatment(store, form, actor="test")
    for kind, code in (("applicator", "heads"), ("unit", "U2")):
        assert manager.post(f"/set-up/{kind}/retire", data={"code": code, "read": "1"}).status_code == 303
    assert manager.get("/set-up").status_code == 200
    assert "With a head" in manager.get("/treatments").text
    assert manager.get(f"/treatments/form?id={id}").status_code == 200
    assert read_treatment(store, id).form["parts"][0]["applicators"] == {"heads": "1"}


ODD_CODES = (
    'a"b',
    "a'b",
    "a/b",
    "a,b",
    "a?b&c=d#e",
    "<b>",
    "🩺 one",
    "قسم ١",
    "a\\b",
    "..",
    "%2e",
    "{{7*7}}",
    "é" * 60,
)


@pytest.mark.parametrize("code", ODD_CODES)
def test_odd_codes_are_kept_shown_and_found_again(store: Store, manager: TestClient, code: str) -> None:
    fields = filled_in(manager, "/set-up/place/form", code=code, bays="Z1", tags='"quiet, dark"')
    assert manager.post("/set-up/place/form", data=fields).status_code == 303
    page = manager.get("/set-up").text
    assert "<b>" not in re.sub(r"<p><b>|<b>\d", "", page)
    links = [html.unescape(link) for link in re.findall(r'href="(/set-up/place/form\?code=[^"]*)"', page)]
    assert [form_at(manager, link)["code"] for link in links] == [["front"], [code]]
    unit = filled_in(manager, "/set-up/unit/form?code=U1", places=["front", code])
    assert manager.post("/set-up/unit/form", data=unit).status_code == 303
    assert form_at(manager, "/set-up/unit/form?code=U1")["places"] == ["front", code]


@pytest.mark.parametrize("code", ["a\nb", "a\x00b", "a\u202eb", "x" * 61, "\u200b"])
def test_codes_that_do_not_show_are_refused(store: Store, manager: TestClient, code: str) -> None:
    answer = manager.post("/set-up/place/form", data=filled_in(manager, "/set-up/place/form", code=code, bays="Z1"))
    assert answer.status_code == 422
    assert fault_at(answer.text, "code")


def test_odd_requests_are_refused_in_words(manager: TestClient) -> None:
    for data in ({}, {"read": "99999999999"}, {"read": "-1"}, {"read": "1", "code": "U1", "shown": "x" * 10_000}):
        for under in ("form", "retire", "back"):
            answer = manager.post(f"/set-up/unit/{under}", data=data)
            assert answer.status_code in (303, 409, 422)
            assert "Traceback" not in answer.text
    assert manager.post("/set-up/unit/form", data={f"channel_id[{i}]": "c" for i in range(500)}).status_code == 422
    assert manager.post("/set-up/staff/away", data={"code": "nobody"}).status_code == 404


def test_an_absence_on_the_days_the_clocks_change(store: Store, manager: TestClient) -> None:
    """Dublin goes forward at 01:00 UTC on the last Sunday of March and back on that of October (EU directive
    2000/84/EC); both 01:30 of that October night are away, and local times are shown as they were typed."""
    for day, month in ((datetime.date(2031, 3, 30), "March"), (datetime.date(2031, 10, 26), "October")):
        assert day.weekday() == 6, month
        fields = filled_in(
            manager,
            "/set-up/staff/away?code=T1",
            from_date=f"{day}",
            to_date=f"{day}",
            from_time="00:30",
            to_time="03:30",
        )
        assert manager.post("/set-up/staff/away", data=fields).status_code == 303
    times = [(one.form.from_time, one.form.to_time) for one in filled(store, "T1").away]
    assert times == [("00:30", "03:30")] * 2
