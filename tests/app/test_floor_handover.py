"""The end of a day: given against prescribed, signed, and what goes on to the next day."""

from dataclasses import replace
from datetime import timedelta

import pytest

from app.services.days import kept_day, save_day
from app.services.floor.handover import handover
from tests.app.clinic_days import DATE, store_of
from tests.app.floor_days import Floor, instant
from tests.app.floor_shown import FLOOR, Shown, text_of


def test_minutes_given_stand_beside_minutes_prescribed_without_pauses() -> None:
    floor = Floor()
    floor.begin("V1", "09:00")
    floor.say("09:02", "paused", "V1", 0, reason="")
    floor.say("09:04", "resumed", "V1", 0)
    floor.say("09:07", "phase", "V1", 0, phase=1)
    floor.say("09:12:30", "ended", "V1", 0, reason="enough")
    (visit, *_) = handover(floor.reading(), instant("09:30")).visits
    (part,) = visit.parts
    assert (part.prescribed, part.ran, part.paused) == (20, 10.5, 2.0)
    assert (visit.outcome, visit.may_be_signed, visit.is_open) == ("given", True, True)


def test_what_became_of_each_visit_is_told_apart() -> None:
    floor = Floor()
    floor.run("V1", ["09:00", "09:05", "09:15", "09:20"])
    floor.begin("V3", "09:30")
    floor.say("09:35", "stopped", "V3", 0, reason="dizzy")
    assert {one.code: one.outcome for one in handover(floor.reading(), instant("11:00")).visits} == {
        "V1": "given",
        "V3": "stopped",
        "V2": "no word",
    }


def give_ann(shown: Shown) -> None:
    shown.begin("V1", "09:00")
    shown.press("phase", "V1", "09:05", part=0, phase=1)
    shown.press("phase", "V1", "09:15", part=0, phase=2)
    shown.press("ended", "V1", "09:20", part=0)


def test_it_is_signed_by_who_is_signed_in(shown: Shown) -> None:
    give_ann(shown)
    page = shown.get("/handover")
    assert "not signed" in page
    key = "00000000-0000-0000-0000-000000000001"
    data = {"key": key, "visit": str(shown.ids["V1"]), "note": "went well"}
    for _ in range(2):  # sent twice, it is signed once
        assert shown.client.post(f"{FLOOR}/handover", data=data, follow_redirects=False).status_code == 303
    page = text_of(shown.get("/handover"))
    assert "Signed by therapist, 2031-03-04 09:20: went well" in page
    assert "20 min 20 min 09:00–09:20, ended" in page


def test_all_of_ones_own_are_signed_at_once(shown: Shown) -> None:
    give_ann(shown)
    data = {"key": "00000000-0000-0000-0000-000000000003", "mine": "yes", "note": ""}
    assert shown.client.post(f"{FLOOR}/handover", data=data, follow_redirects=False).status_code == 303
    assert "Signed by therapist" in text_of(shown.get("/handover"))


def test_what_still_runs_is_not_signed(shown: Shown) -> None:
    shown.begin("V1", "09:00")
    data = {"key": "00000000-0000-0000-0000-000000000001", "visit": str(shown.ids["V1"]), "note": ""}
    answer = shown.client.post(f"{FLOOR}/handover", data=data)
    assert answer.status_code == 422
    assert "a part of it still runs" in answer.text


@pytest.mark.parametrize("key", ["", "x", "0" * 80])
def test_a_key_that_is_none_is_refused(shown: Shown, key: str) -> None:
    answer = shown.client.post(f"{FLOOR}/handover", data={"key": key, "visit": "1"})
    assert answer.status_code == 422


def test_what_stays_open_is_on_the_next_days_pages(shown: Shown) -> None:
    give_ann(shown)
    shown.press("set_aside", item="head-1")
    shown.press("out_of_service", unit="U2", reason="smoke")
    store = store_of(shown.app)
    kept = kept_day(store, DATE)
    assert kept is not None
    assert kept.plan is not None
    tomorrow = DATE + timedelta(days=1)
    save_day(store, replace(kept.day, date=tomorrow), replace(kept.plan, date=tomorrow), read=0, actor="test")
    page = text_of(shown.client.get(f"/floor/{tomorrow}").text)
    assert "1 visit is left open from 2031-03-04" in page
    assert "head-1 Heads set aside" in page or "head-1 heads set aside" in page
    assert "Out of service: smoke" in page
    data = {"key": "00000000-0000-0000-0000-000000000002", "visit": str(shown.ids["V1"]), "note": ""}
    shown.client.post(f"{FLOOR}/handover", data=data)
    assert "left open" not in text_of(shown.client.get(f"/floor/{tomorrow}/handover").text)
    cleaned = {"key": "f" * 32, "kind": "clean", "item": "head-1"}
    assert shown.client.post(f"/floor/{tomorrow}/press", data=cleaned).status_code == 200
    assert "set aside" not in text_of(shown.client.get(f"/floor/{tomorrow}").text).split("Last presses")[0]
