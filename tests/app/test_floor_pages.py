"""The Floor's pages: what is pressed, refused and shown, and by whom."""

import re

import pytest

from tests.app.clinic_days import HERE, client_of
from tests.app.floor_shown import FLOOR, Shown, text_of


def test_the_floor_is_todays(shown: Shown) -> None:
    answer = shown.client.get("/floor", follow_redirects=False)
    assert answer.headers["location"] == FLOOR


def test_a_day_without_a_plan_has_nothing_to_run(shown: Shown) -> None:
    assert "No plan of this day is kept" in shown.client.get("/floor/2031-03-05").text


def test_a_visit_goes_from_arriving_to_its_end(shown: Shown) -> None:
    assert "Arrived" in shown.get()
    shown.press("arrived", "V1", "08:55")
    assert "nobody has decided yet" in shown.get()
    shown.press("decided", "V1", decision="go", by="Tess Ray")
    assert "may start: Tess Ray decided" in shown.get()
    shown.press("started", "V1", "09:00", part=0)
    assert "5:00" in shown.get()
    shown.press("phase", "V1", "09:05", part=0, phase=1)
    shown.press("phase", "V1", "09:15", part=0, phase=2)
    shown.press("ended", "V1", "09:20", part=0)
    page = text_of(shown.get())
    assert "Ann Early, part 1: ended" in page
    assert "head-1" in page  # being cleaned
    assert "given" in text_of(shown.client.get(f"/visit/{shown.ids['V1']}").text).lower()


def test_no_start_without_a_decision(shown: Shown) -> None:
    shown.press("arrived", "V1")
    answer = shown.press("started", "V1", part=0)
    assert answer.status_code == 422
    assert "no clinician has decided" in answer.text
    assert "Nothing was changed" in answer.text


def test_not_now_is_kept_as_a_decision(shown: Shown) -> None:
    shown.press("arrived", "V1")
    shown.press("decided", "V1", decision="not_now", by="Tess Ray", note="fever", page="V1")
    assert shown.press("started", "V1", part=0).status_code == 422
    page = text_of(shown.get(f"/visit/{shown.ids['V1']}"))
    assert "Not now : 08:55, Tess Ray: not now (fever), recorded by therapist" in page


def test_the_form_comes_back_as_it_was_filled_in(shown: Shown) -> None:
    shown.press("arrived", "V1")
    question = "answer:Does the patient have a cardiac pacemaker or a known arrhythmia?"
    answer = shown.press("decided", "V1", decision="go", by="", note="asked twice", page="V1", **{question: "no"})
    assert answer.status_code == 422
    assert 'value="asked twice"' in answer.text
    assert "nothing stands here; give the name of the clinician who decided" in answer.text
    assert re.search(rf'name="{re.escape(question)}" value="no" checked', answer.text)


def test_two_boards_that_press_the_same_make_one_event(shown: Shown) -> None:
    """Two tablets show the same button; both press it."""
    page = shown.get()
    form = re.search(r'<form method="post" action="([^"]+)" data-press>(.*?)</form>', page, re.DOTALL)
    assert form is not None
    fields = dict(re.findall(r'name="(\w+)" value="([^"]*)"', form[2]))
    other = client_of(shown.app, "therapist", headers=HERE)
    first = shown.client.post(form[1], data=fields, follow_redirects=False)
    second = other.post(form[1], data=fields, follow_redirects=False)
    assert (first.status_code, second.status_code) == (303, 303)
    assert shown.get().count("Ann Early: arrived") == 1


def test_pressing_is_for_clinicians_and_looking_for_everyone(shown: Shown) -> None:
    desk = client_of(shown.app, "desk", headers=HERE)
    assert "data-press" not in desk.get(FLOOR).text
    answer = desk.post(f"{FLOOR}/press", data={"key": "0" * 32, "kind": "arrived", "visit": shown.ids["V1"]})
    assert answer.status_code == 403


def test_initials_stand_for_patients_until_they_are_asked_for(shown: Shown) -> None:
    page = shown.get()
    assert "<summary><b>AE</b>" in page
    assert re.findall(r'(?:href|action)="[^"]*(?:Ann|Early|Bea)[^"]*"', page) == []


def test_a_unit_out_of_service_stops_its_starts(shown: Shown) -> None:
    shown.begin("V1", "08:55")
    assert shown.press("out_of_service", unit="U2", reason="smoke").status_code == 303
    assert "Out of service: smoke" in shown.get()
    shown.press("arrived", "V3")
    shown.press("decided", "V3", decision="go", by="Tess Ray")
    assert "Sorrel is out of service" in shown.press("started", "V3", part=0).text
    assert shown.press("in_service", unit="U2").status_code == 303
    assert shown.press("started", "V3", part=0).status_code == 303


def test_what_was_noted_is_kept_beside_what_was_prescribed(shown: Shown) -> None:
    shown.begin("V1", "09:00")
    shown.press("set", "V1", "09:01", part=0, said="0.8 W/cm²", page="V1")
    shown.press("set", "V1", "09:03", part=0, said="0.6 W/cm²", page="V1")
    shown.press("skin", "V1", "09:04", part=0, when="before", said="as ever", page="V1")
    page = text_of(shown.get(f"/visit/{shown.ids['V1']}"))
    assert page.index("09:01 set: 0.8 W/cm²") < page.index("09:03 set: 0.6 W/cm²") < page.index("skin before: as ever")
    assert "1 × ultrasound and 1 × pads" in page


def test_a_wrong_press_is_taken_back(shown: Shown) -> None:
    shown.begin("V1", "09:00")
    page = shown.get()
    undo = re.findall(r'name="undoes" value="(\d+)"', page)
    assert shown.press("undone", undoes=undo[0]).status_code == 303
    assert "may start" in shown.get()


@pytest.mark.parametrize(
    ("fields", "status"),
    [
        ({"kind": "nothing"}, 422),
        ({"kind": "started", "visit": "999999", "part": "0"}, 422),
        ({"kind": "started", "visit": "9" * 40, "part": "0"}, 422),
        ({"kind": "phase", "visit": "1", "part": "77", "phase": "-1"}, 422),
        ({"kind": "undone", "undoes": "7"}, 422),
        ({}, 422),
    ],
)
def test_what_cannot_be_read_is_refused_in_a_line(shown: Shown, fields: dict[str, str], status: int) -> None:
    answer = shown.client.post(f"{FLOOR}/press", data={"key": "f" * 32, **fields})
    assert answer.status_code == status
    assert "Nothing was changed" in answer.text


def test_a_delay_and_its_effect_are_shown_and_accepted(shown: Shown) -> None:
    shown.press("expected", "V2", "09:30", minute="10:20")
    assert "1 visit would begin later, the most by 20 minutes" in shown.get()
    page = shown.get("/late")
    assert "10:20, 20 min later" in page
    mark = re.search(r'name="mark" value="([^"]+)"', page)
    assert mark is not None
    stale = shown.client.post(f"{FLOOR}/late/accept", data={"which": "shift", "mark": "old"})
    assert stale.status_code == 422
    assert "something happened since it was shown" in stale.text
    done = shown.client.post(f"{FLOOR}/late/accept", data={"which": "shift", "mark": mark[1]}, follow_redirects=False)
    assert done.status_code == 303
    assert "10:20" in text_of(shown.client.get(f"/visit/{shown.ids['V2']}").text)
    assert "would begin later" not in shown.get()


def test_what_breaks_a_rule_is_said_and_left_to_people(shown: Shown) -> None:
    shown.begin("V1", "09:00")
    shown.press("out_of_service", unit="U1", reason="smoke", at="09:10")
    page = text_of(shown.get("/late"))
    assert "hours: V1" in page
    assert "Somebody must decide" in page
    assert "Make this the plan" not in page


def test_a_repair_is_looked_for_and_found(shown: Shown) -> None:
    import time

    shown.press("expected", "V2", "09:30", minute="10:20")
    shown.client.post(f"{FLOOR}/late/repair", follow_redirects=False)
    for _ in range(80):
        page = shown.get("/late")
        if "Looking for one" not in page:
            break
        time.sleep(0.25)
    assert "Make the repair the plan" in page or "There is nothing to repair" in page
