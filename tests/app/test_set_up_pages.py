"""The Set-up room's pages: each form filled, saved, refused with all that was typed, stale, and what it breaks."""

import html
import re
from collections.abc import Mapping

import pytest
from fastapi.testclient import TestClient

from app.db.store import Store
from app.routes.access import ACCESS
from app.services.setup.filled import filled_set_up
from app.services.setup.starting_points import starting_points
from app.services.treatments.writing import make_treatment
from app.views.set_up_list import DONE
from tests.app.set_up_clinic import MONDAY, NAMES, a_monday, app_of, book_monday, client_of
from tests.app.set_up_forms import Filled, fault_at, filled_in, form_at, made, manager, store
from tests.data.front_desk import part, treatment_form
from tests.data.set_up_clinic import filled, kept

__all__ = ["made", "manager", "store"]

ADDRESSES = (
    "/set-up",
    "/set-up/clinic",
    "/set-up/opening",
    "/set-up/closure",
    "/set-up/place/form",
    "/set-up/place/form?code=front",
    "/set-up/unit/form",
    "/set-up/unit/form?code=U1",
    "/set-up/unit/form?start=ultrasound-and-two-cups-on-battery",
    "/set-up/applicator/form",
    "/set-up/applicator/form?code=heads",
    "/set-up/staff/form",
    "/set-up/staff/form?code=T1",
    "/set-up/unit/away?code=U1",
    "/set-up/staff/away?code=T1",
)


@pytest.mark.parametrize("address", ADDRESSES)
def test_every_page_is_there_for_managers_only(store: Store, address: str) -> None:
    app = app_of(store)
    statuses = {
        role: client_of(store, role, app).get(address).status_code
        for role in ("desk", "therapist", "manager", "administrator")
    }
    assert statuses == {"desk": 403, "therapist": 403, "manager": 200, "administrator": 200}
    assert TestClient(app, base_url="http://127.0.0.1", follow_redirects=False).get(address).status_code == 303


@pytest.mark.parametrize("route", [route for route in ACCESS if route.startswith("POST /set-up")])
def test_nobody_of_the_desk_changes_anything(store: Store, route: str) -> None:
    before = filled_set_up(store)
    address = route.removeprefix("POST ").replace("{kind}", "unit")
    answer = client_of(store, "desk").post(address, data={"code": "U1", "read": "1"})
    assert answer.status_code == 403
    assert filled_set_up(store) == before


SAVED: Mapping[str, tuple[str, Mapping[str, str | list[str]], str]] = {
    "the clinic": ("/set-up/clinic", {"name": "Renamed clinic", "step_min": "10"}, "clinic"),
    "opening hours": ("/set-up/opening", {"hours_5": "10:00-12:00"}, "opening"),
    "a closure": ("/set-up/closure", {"date": f"{a_monday(3)}", "reason": "inventory"}, "closure"),
    "a new place": ("/set-up/place/form", {"code": "attic", "bays": "A1"}, "place"),
    "a place": ("/set-up/place/form?code=front", {"name": "By the door"}, "place"),
    "a new unit": (
        "/set-up/unit/form",
        {"code": "U7", "places": ["front"], "channel_id_0": "c1", "channel_drives_0": "pads"},
        "unit",
    ),
    "a unit of a starting point": (
        "/set-up/unit/form?start=ultrasound-and-two-cups-on-battery",
        {"code": "U8", "places": ["front"]},
        "unit",
    ),
    "a unit": ("/set-up/unit/form?code=U1", {"name": "Blue one"}, "unit"),
    "a new applicator": ("/set-up/applicator/form", {"code": "belts", "items": "belt-1, belt-2"}, "applicator"),
    "an applicator": ("/set-up/applicator/form?code=heads", {"turnaround_min": "15", "fits": ["U1"]}, "applicator"),
    "a new member": ("/set-up/staff/form", {"code": "T9", "hours_0": "9:00-12:00"}, "staff"),
    "a member": ("/set-up/staff/form?code=T1", {"skills": "hands, suction"}, "staff"),
    "an absence": ("/set-up/staff/away?code=T1", {"note": "course"}, "staff-away"),
    "out of service": ("/set-up/unit/away?code=U2", {"from_time": "8:00", "to_time": "12:00"}, "unit-away"),
}


@pytest.mark.parametrize("name", SAVED)
def test_what_is_typed_is_saved_said_and_shown_again(manager: TestClient, name: str) -> None:
    address, typed, done = SAVED[name]
    fields = filled_in(manager, address, **typed)
    answer = manager.post(address.split("?")[0], data=fields)
    assert (answer.status_code, answer.headers["location"]) == (303, f"/set-up?done={done}#done")
    page = manager.get(answer.headers["location"]).text
    assert html.escape(DONE[done][1]) in page
    code = fields.get("code", [""])[0]
    if "form" in address:
        again = form_at(manager, f"{address.split('?')[0]}?code={code}")
        sent = {key: value for key, value in fields.items() if key not in ("read", "shown", "job") and any(value)}
        shown = {key: again.get(key, []) for key in sent}
        if "hours[0]" in sent:
            shown["hours[0]"] = [text.removeprefix("0") for text in shown["hours[0]"]]
            sent["hours[0]"] = [text.removeprefix("0") for text in sent["hours[0]"]]
        if "new" in name or "starting" in name:
            sent["name"] = [code]
            shown["name"] = again["name"]
        assert shown == sent


FAULTS: Mapping[str, tuple[str, Mapping[str, str | list[str]], set[str]]] = {
    "the clinic": (
        "/set-up/clinic",
        {"name": " ", "time_zone": "Mars/Dome", "step_min": "7", "move_min": "-1"}
        | {"bay_turnover_min": "x", "aims": "luck"},
        {"name", "time_zone", "step_min", "move_min", "bay_turnover_min", "aims"},
    ),
    "opening hours": ("/set-up/opening", {"hours_0": "17:00-09:00", "hours_6": "late"}, {"hours[0]", "hours[6]"}),
    "a closure": ("/set-up/closure", {"date": "2031-02-30"}, {"date"}),
    "a closure, why": ("/set-up/closure", {"reason": "x" * 300}, {"reason"}),
    "a place": ("/set-up/place/form", {"code": "", "bays": ""}, {"code", "bays"}),
    "a code that is taken": ("/set-up/place/form", {"code": "front", "bays": "X1"}, {"code"}),
    "a bay that is taken": ("/set-up/place/form", {"code": "attic", "bays": "A1, F1"}, {"bays"}),
    "a long list": ("/set-up/place/form", {"code": "attic", "bays": "B" * 200_000}, {"bays"}),
    "a unit": (
        "/set-up/unit/form",
        {"code": "U9", "patients_at_once": "0", "channel_id_1": "c", "channel_drives_1": ""},
        {"patients_at_once", "places", "channel_drives[1]"},
    ),
    "a battery": (
        "/set-up/unit/form?start=ultrasound-and-two-pads-on-battery",
        {"code": "U9", "places": ["front"], "capacity_wh": "lots", "reserve_pct": "200", "draw_w": "pads 5"},
        {"capacity_wh", "reserve_pct", "draw_w"},
    ),
    "an applicator": (
        "/set-up/applicator/form",
        {"code": "a" * 61, "turnaround_min": "soon"},
        {"code", "turnaround_min"},
    ),
    "a member": (
        "/set-up/staff/form",
        {"code": "T9", "watch_free": "1", "watch_busy": "2", "hours_0": "9-12", "breaks_1": "90 in 12:00-13:00"}
        | {"kind": "boss"},
        {"watch_busy", "hours[0]", "breaks[1]", "kind"},
    ),
    "a name": ("/set-up/staff/form", {"code": "T9", "name": "N" * 201}, {"name"}),
    "an absence": (
        "/set-up/staff/away?code=T1",
        {"from_date": "", "from_time": "25:00", "to_date": "soon", "to_time": "x"},
        {"from_date", "from_time", "to_date", "to_time"},
    ),
    "an absence that ends first": (
        "/set-up/staff/away?code=T1",
        {"from_time": "12:00", "to_time": "11:00"},
        {"to_time"},
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", FAULTS)
def test_each_fault_stands_beside_its_field_and_nothing_typed_is_lost(
    store: Store, manager: TestClient, name: str
) -> None:
    address, typed, wanted = FAULTS[name]
    before = filled_set_up(store)
    fields = filled_in(manager, address, **typed)
    answer = manager.post(address.split("?")[0], data=fields)
    assert answer.status_code == 422
    named = re.findall(r'id="([^"]+)-fault"', answer.text)
    assert set(named) == wanted
    for field in wanted:
        assert ";" in fault_at(answer.text, field), "what is wrong; what would be right"
        assert f'<a href="#{field}">' in answer.text
    again = Filled(answer.text).fields
    kinds = {"job", *({"kind"} if "kind" in typed else ())}
    assert {key: value for key, value in again.items() if key not in kinds and any(value)} == {
        key: [text.strip() for text in value]
        for key, value in fields.items()
        if key not in kinds and "".join(value).strip()
    }
    assert filled_set_up(store) == before


@pytest.mark.parametrize(
    "address",
    [
        "/set-up/unit/form?code=U99",
        "/set-up/unit/form?start=none",
        "/set-up/robot/form",
        "/set-up/unit/away?code=U99",
        "/set-up/place/away?code=front",
        "/set-up/staff/away?code=T1&id=99",
        "/set-up/staff/away?code=T1&id=x",
    ],
)
def test_what_is_not_there_is_not_found(manager: TestClient, address: str) -> None:
    assert manager.get(address).status_code in (404, 422)


def test_two_managers_at_once_one_saves_and_the_other_is_told_what_changed(store: Store) -> None:
    app = app_of(store)
    one, other = client_of(store, "manager", app), client_of(store, "administrator", app)
    address = "/set-up/unit/form"
    mine = filled_in(one, f"{address}?code=U1", name="Mine")
    yours = filled_in(other, f"{address}?code=U1", name="Yours")
    assert one.post(address, data=mine).status_code == 303
    answer = other.post(address, data=yours)
    assert answer.status_code == 409
    assert "The manager changed unit U1: name" in answer.text
    assert 'value="Yours"' in answer.text
    assert getattr(filled(store, "U1").form, "name", "") == "Mine"


def test_what_breaks_is_listed_and_saved_only_when_it_was_shown(store: Store, manager: TestClient) -> None:
    before = book_monday(store)
    address = "/set-up/staff/form"
    hours = {f"hours_{i}": "09:30-17:00" for i in range(5)}
    fields = filled_in(manager, f"{address}?code=T1", **hours)
    answer = manager.post(address, data=fields)
    assert answer.status_code == 409
    assert "1 booked visit would no longer hold" in answer.text
    assert NAMES["Ann Early"] in answer.text
    assert f'href="/day/{MONDAY}"' in answer.text
    assert "Save all the same" in answer.text
    assert kept(store, MONDAY) == before
    shown = Filled(answer.text).fields
    assert shown["hours[0]"] == ["09:30-17:00"]
    later = a_monday(2)
    book_monday(store, later)
    again = manager.post(address, data=shown)
    assert again.status_code == 409
    assert "2 booked visits would no longer hold" in again.text
    assert manager.post(address, data=Filled(again.text).fields).status_code == 303
    for date in (MONDAY, later):
        plan = kept(store, date).plan
        assert plan is not None
        assert [visit.id for visit in plan.visits] == ["V2", "V3"]


def test_a_name_of_a_patient_is_in_no_address_and_no_audit(store: Store, manager: TestClient) -> None:
    book_monday(store)
    fields = filled_in(manager, "/set-up/closure", date=f"{MONDAY}", reason="flood")
    page = manager.post("/set-up/closure", data=fields).text
    name = NAMES["Ann Early"]
    assert name in page
    assert not any(name.split()[0] in address for address in re.findall(r'(?:href|action)="([^"]*)"', page))
    assert manager.post("/set-up/closure", data=Filled(page).fields).status_code == 303
    assert name not in manager.get("/audit").text


@pytest.mark.parametrize(("kind", "code"), [("unit", "U2"), ("staff", "A1"), ("applicator", "heads")])
def test_retired_and_brought_back(store: Store, manager: TestClient, kind: str, code: str) -> None:
    book_monday(store)
    asked = manager.post(f"/set-up/{kind}/retire", data={"code": code, "read": "1"})
    assert asked.status_code == 409
    sent = manager.post(f"/set-up/{kind}/retire", data=Filled(asked.text).fields)
    assert sent.headers["location"] == f"/set-up?done={kind}-retire#done"
    assert filled(store, code).is_retired
    assert manager.get(f"/set-up/{kind}/form?code={code}").status_code == 200
    back = manager.post(f"/set-up/{kind}/back", data={"code": code, "read": "2"})
    assert back.headers["location"] == f"/set-up?done={kind}-back#done"
    assert not filled(store, code).is_retired


def test_a_place_that_a_unit_may_stand_at_does_not_retire(store: Store, manager: TestClient) -> None:
    answer = manager.post("/set-up/place/retire", data={"code": "front", "read": "1"})
    assert answer.status_code == 422
    assert "unit U1 may stand at front" in html.unescape(answer.text)
    assert not filled(store, "front").is_retired


def test_a_time_away_is_changed_and_taken_back(store: Store, manager: TestClient) -> None:
    fields = filled_in(
        manager, "/set-up/staff/away?code=T1", from_date=f"{MONDAY}", to_date=f"{MONDAY}", note="dentist"
    )
    assert manager.post("/set-up/staff/away", data=fields).status_code == 303
    (away,) = filled(store, "T1").away
    changed = filled_in(manager, f"/set-up/staff/away?code=T1&id={away.id}", to_time="13:00")
    assert manager.post("/set-up/staff/away", data=changed).status_code == 303
    assert [one.form.to_time for one in filled(store, "T1").away] == ["13:00"]
    gone = manager.post("/set-up/staff/away/remove", data={"code": "T1", "id": f"{away.id}", "read": "3"})
    assert gone.status_code == 303
    assert filled(store, "T1").away == ()


def test_the_first_day_says_what_it_still_needs(store: Store, manager: TestClient) -> None:
    assert "A first day still needs" not in manager.get("/set-up").text
    assert manager.post("/set-up/opening", data={"read": "1"}).status_code == 303
    assert "A first day still needs" in manager.get("/set-up").text
    assert manager.get("/set-up?done=nonsense").status_code == 200


def test_every_starting_point_has_its_link(manager: TestClient) -> None:
    page = html.unescape(manager.get("/set-up").text)
    assert all(f"start={point.key}" in page and point.title in page for point in starting_points())


def test_a_new_name_and_zone_of_the_clinic_hold_from_the_next_page_on(store: Store) -> None:
    app = app_of(store)
    manager = client_of(store, "manager", app)
    typed = filled_in(manager, "/set-up/clinic", name="Renamed clinic", time_zone="Asia/Tokyo")
    assert manager.post("/set-up/clinic", data=typed).status_code == 303
    nobody = TestClient(app, base_url="http://127.0.0.1")
    assert '<p class="lead">Renamed clinic</p>' in nobody.get("/sign-in").text
    assert '<p class="clinic">Renamed clinic' in manager.get("/patients").text
    assert app.state.parts.zone.key == "Asia/Tokyo"


def test_what_a_treatment_names_is_said_beside_the_button_that_retires_it(store: Store, manager: TestClient) -> None:
    heads = part(applicators={"heads": "1"}, units=["U1"])
    id = make_treatment(store, treatment_form(heads, name="Knee <sound>"), actor="test")
    said = f'named in the catalogue by <a href="/treatments/form?id={id}">Knee &lt;sound&gt;</a></td>'
    lines = manager.get("/set-up").text.split("<tr")
    named = {code for code in ("U1", "U2", "heads") for line in lines if f"<td>{code}</td>" in line and said in line}
    assert named == {"U1", "heads"}


def test_more_than_three_treatments_that_name_a_pool_are_counted_and_folded_away(
    store: Store, manager: TestClient
) -> None:
    for n in range(4):
        make_treatment(store, treatment_form(part(applicators={"heads": "1"}), name=f"Knee {n}"), actor="test")
    line = next(line for line in manager.get("/set-up").text.split("<tr") if "<td>heads</td>" in line)
    assert "<summary>named in the catalogue by 4 treatments</summary>" in line
    assert all(f">Knee {n}</a>" in line for n in range(4))
