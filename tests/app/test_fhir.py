"""A day as FHIR R4B resources.

Checked against: the R4 value sets of Appointment.status and Slot.status and Device.status (hl7.org/fhir/R4), written
down here a second time; and the models of the PyPI package fhir.resources.
"""

import json
from datetime import datetime
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from fhir.resources.R4B import get_fhir_model_class

from app.cli import run
from app.services.fhir.value_sets import check_resources
from solver.errors import InputError
from tests.app.clinic_days import DATE, client_of, store_of
from tests.app.floor_shown import FLOOR, Shown

APPOINTMENT = {
    *("proposed", "pending", "booked", "arrived", "fulfilled", "cancelled", "noshow"),
    *("entered-in-error", "checked-in", "waitlist"),
}
SLOT = {"busy", "free", "busy-unavailable", "busy-tentative", "entered-in-error"}
DEVICE = {"active", "inactive", "entered-in-error", "unknown"}
SLOT_BACKWARDS = {"start": "2031-03-04T10:00Z", "end": "2031-03-04T09:00Z"}
EXPORT = f"{FLOOR}/handover/fhir.json"


def resources(shown: Shown) -> list[dict[str, Any]]:
    answer = client_of(shown.app, "manager").get(EXPORT)
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "application/fhir+json"
    return [entry["resource"] for entry in answer.json()["entry"]]


def of(found: list[dict[str, Any]], kind: str) -> list[dict[str, Any]]:
    return [one for one in found if one["resourceType"] == kind]


def test_every_resource_is_right_by_the_librarys_model(shown: Shown) -> None:
    shown.begin("V1", "09:00")
    for one in resources(shown):
        get_fhir_model_class(one["resourceType"]).model_validate(one)


def test_codes_are_of_their_value_sets_and_ends_come_after_starts(shown: Shown) -> None:
    shown.begin("V1", "09:00")
    shown.press("out_of_service", unit="U2", reason="smoke")
    found = resources(shown)
    for kind, allowed in (("Appointment", APPOINTMENT), ("Slot", SLOT), ("Device", DEVICE)):
        assert of(found, kind)
        assert {one["status"] for one in of(found, kind)} <= allowed
    for one in (*of(found, "Appointment"), *of(found, "Slot")):
        start, end = datetime.fromisoformat(one["start"]), datetime.fromisoformat(one["end"])
        assert start < end
        assert start.utcoffset() is not None


def test_what_happened_is_in_it(shown: Shown) -> None:
    shown.begin("V1", "09:00")
    shown.press("set", "V1", "09:03", part=0, said="0.8 W/cm²")
    shown.press("stopped", "V1", "09:10", part=0, reason="dizzy")
    found = resources(shown)
    (procedure,) = of(found, "Procedure")
    assert procedure["status"] == "stopped"
    assert procedure["performedPeriod"] == {"start": "2031-03-04T09:00:00Z", "end": "2031-03-04T09:10:00Z"}
    assert procedure["statusReason"] == {"text": "dizzy"}
    assert procedure["note"][0]["text"] == "set: 0.8 W/cm²"
    statuses = sorted(one["status"] for one in of(found, "Appointment"))
    assert statuses == ["booked", "booked", "fulfilled"]


def test_the_slots_of_a_channel_fill_its_minutes_in_service(shown: Shown) -> None:
    found = resources(shown)
    for schedule in of(found, "Schedule"):
        slots = [one for one in of(found, "Slot") if one["schedule"]["reference"] == f"urn:uuid:{schedule['id']}"]
        slots.sort(key=lambda one: str(one["start"]))
        for one, after in pairwise(slots):
            assert one["end"] == after["start"]


def test_references_lead_to_resources_of_the_bundle_and_ids_stay(shown: Shown) -> None:
    one, other = resources(shown), resources(shown)
    assert [each["id"] for each in one] == [each["id"] for each in other]
    check_resources(one)


@pytest.mark.parametrize(
    ("broken", "says"),
    [
        ({"resourceType": "Slot", "id": "1", "status": "closed"}, "'closed' is no such status"),
        ({"resourceType": "Appointment", "id": "1", "status": "done"}, "'done' is no such status"),
        (
            {
                "resourceType": "Slot",
                "id": "1",
                "status": "free",
                "start": "2031-03-04T10:00Z",
                "end": "2031-03-04T09:00Z",
            },
            "before it starts",
        ),
        ({"resourceType": "Patient", "id": "1", "link": [{"reference": "urn:uuid:2"}]}, "it refers to urn:uuid:2"),
    ],
)
def test_what_the_library_lets_pass_is_refused(broken: dict[str, Any], says: str) -> None:
    with pytest.raises(InputError, match=says):
        check_resources([broken])


def test_the_export_is_for_managers(shown: Shown) -> None:
    for role in ("desk", "therapist"):
        assert client_of(shown.app, role).get(EXPORT).status_code == 403
    assert client_of(shown.app, "manager").get("/floor/2031-03-05/handover/fhir.json").status_code == 404


def test_the_command_writes_the_same(shown: Shown, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "fhir.json"
    data = store_of(shown.app).name
    assert run(["export-fhir", DATE.isoformat(), "--out", str(out), "--data", data]) == 0
    said = capsys.readouterr().out
    assert "Ann" not in said
    written = json.loads(out.read_text(encoding="utf-8"))
    assert [entry["resource"]["id"] for entry in written["entry"]] == [one["id"] for one in resources(shown)]
    assert run(["export-fhir", "2031-03-05", "--out", str(out), "--data", data]) == 2
    assert run(["export-fhir", "soon", "--out", str(out), "--data", data]) == 2
