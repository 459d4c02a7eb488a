"""A proposal of the desk: seen, accepted where the day is as it was, discarded, and out of date."""

import re
from dataclasses import replace
from pathlib import Path

from fastapi.testclient import TestClient

from app.services.days import save_day
from app.services.placing import rescored
from app.services.planning import Planning
from tests.app.clinic_days import (
    ADDRESS,
    DATE,
    HERE,
    a_clinic_day,
    a_clinic_plan,
    app_in,
    client_of,
    plan_at_once,
    plan_for_all,
    store_of,
)
from tests.app.visit_pages import row_of


def propose(client: TestClient, planning: Planning, **more: str) -> str:
    """The page of the proposal that a search of the day ends with."""
    client.post(f"{ADDRESS}/plan", data={"seconds": "5", **more}, headers=HERE)
    planning.wait(DATE, 20)
    return client.get(f"{ADDRESS}/proposal").text


def number_in(page: str) -> str:
    found = re.search(r'name="number" value="(\d+)"', page)
    assert found is not None
    return found[1]


def test_a_proposal_is_discarded_and_cannot_be_accepted_then(tmp_path: Path) -> None:
    app, planning = app_in(tmp_path, plan_at_once)
    with client_of(app) as client:
        number = number_in(propose(client, planning))
        client.post(f"{ADDRESS}/plan/discard", data={"number": number}, headers=HERE)
        assert "There is no proposal for this day." in client.get(f"{ADDRESS}/proposal").text
        late = client.post(f"{ADDRESS}/plan/accept", data={"number": number}, headers=HERE)
        assert late.status_code == 422
        assert "accepted or discarded already" in late.text


def test_a_day_that_changed_meanwhile_is_said_with_what_changed(tmp_path: Path) -> None:
    app, planning = app_in(tmp_path, plan_at_once)
    with client_of(app) as client:
        number = number_in(propose(client, planning))
        day = a_clinic_day()
        save_day(store_of(app), day, a_clinic_plan(day, ann_at="09:01"), read=1, actor="desk two")
        assert "can only be discarded" in client.get(f"{ADDRESS}/proposal").text
        answer = client.post(f"{ADDRESS}/plan/accept", data={"number": number}, headers=HERE)
        assert answer.status_code == 409
        assert "desk two: V1 moved from 09:00" in answer.text


def test_who_was_told_is_listed_and_said_to_move_where_ticked(tmp_path: Path) -> None:
    """The search in name moves Ann to 09:05 whatever is asked; the page says that she was told otherwise."""
    app, planning = app_in(tmp_path, plan_for_all)
    with client_of(app) as client:
        client.post(f"/visit/{row_of(app, 'V1')}/told", data={"seen": "0", "read": "1"}, headers=HERE)
        before = client.get(f"{ADDRESS}/proposal").text
        assert "Ann Early, told 09:00 on Rowan in F1 with Tess Ray" in before
        assert "There is no proposal" in propose(client, planning)
        search = planning.current(DATE)
        assert search is not None
        assert any(line.startswith("fixed:") for line in search.lines)
        page = propose(client, planning, free="V1")
        assert "was told otherwise" in page
        assert 'value="V1" checked' in page


def test_who_cannot_have_what_they_were_told_any_more_is_named(tmp_path: Path) -> None:
    """Ann and Bea were both told nine o'clock on Rowan, in the bay F1."""
    app, _ = app_in(tmp_path, plan_at_once)
    day, plan = a_clinic_day(), a_clinic_plan(a_clinic_day())
    ann, bea = (one for one in plan.visits if one.id in ("V1", "V2"))
    there = ann.parts[0]
    as_ann = replace(bea.parts[0], start=there.start, unit=there.unit, place=there.place, bay=there.bay)
    told = (ann, replace(bea, parts=(as_ann, *bea.parts[1:])))
    day = replace(day, published=told)
    save_day(store_of(app), day, rescored(day, plan), read=1, actor="desk two")
    with client_of(app) as client:
        page = client.get(f"{ADDRESS}/proposal").text
    names = {visit.id: visit.patient for visit in day.visits}
    assert f"told, and may move: {names['V2']}" in page
    assert f"{names['V1']}, told 09:00" in page


def test_a_proposal_is_for_those_who_plan(tmp_path: Path) -> None:
    app, planning = app_in(tmp_path, plan_at_once)
    with client_of(app) as desk, client_of(app, "therapist") as other:
        propose(desk, planning)
        assert "See the proposal" in desk.get(ADDRESS).text
        assert "See the proposal" not in other.get(ADDRESS).text
        assert other.get(f"{ADDRESS}/proposal").status_code == 403
