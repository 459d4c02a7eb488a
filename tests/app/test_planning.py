"""Planning again: one search a day at a time, in a process of its own, told of as it goes."""

import time
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from app.errors import StaleDayError, StoreError
from app.services.days import KeptDay, kept_day, save_day
from app.services.planning import Planning, Search
from solver.clock import Interval
from solver.compose import explained
from solver.errors import InputError
from solver.problem import Day
from solver.progress import ProgressCallback, StopRequest
from solver.schedule import Plan
from solver.verify import verify
from tests.app.clinic_days import (
    ADDRESS,
    DATE,
    HERE,
    a_clinic_plan,
    app_in,
    bays_traded,
    client_of,
    plan_at_once,
    plan_breaks,
    plan_deaf,
    plan_dies,
    plan_for_all,
    plan_with_bays_traded,
    store_in,
)

HTMX = {**HERE, "hx-request": "true"}


def accept(planning: Planning) -> int:
    """Accept the day’s proposal."""
    proposal = planning.proposals.of(DATE)
    assert proposal is not None
    return planning.accept(DATE, proposal.number, actor="test")


def begin(planning: Planning, seconds: int = 5) -> Search:
    return planning.start(DATE, seconds, actor="test")


def ended(planning: Planning) -> Search:
    """The search, when it has ended."""
    planning.wait(DATE, 20)
    search = planning.current(DATE)
    assert search is not None
    assert search.ended
    return search


def kept(planning: Planning) -> KeptDay:
    found = kept_day(planning._store, DATE)
    assert found is not None
    return found


def wait_for_progress(planning: Planning, seconds: float = 15) -> None:
    """Until the running search has told of a plan."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        search = planning.current(DATE)
        if search is not None and search.scores:
            return
        time.sleep(0.01)
    raise AssertionError("the search told of nothing")


def before_and_after(planning: Planning) -> tuple[Plan, Plan]:
    """The plan that is kept before and after a search that finds nothing better."""
    before = kept(planning).plan
    begin(planning)
    assert ended(planning).message.endswith("as it was: nothing better was found.")
    after = kept(planning).plan
    assert before is not None
    assert after is not None
    return before, after


def test_bays_under_new_names_are_no_news(tmp_path: Path) -> None:
    before, after = before_and_after(Planning(store_in(tmp_path), plan_with_bays_traded))
    assert (after.visits, after.breaks) == (before.visits, before.breaks)


def plan_proved(
    day: Day, *, seconds: float, on_progress: ProgressCallback | None, should_stop: StopRequest | None
) -> Plan:
    """A search that hands in the day’s own plan, and says that it is proved."""
    plan = a_clinic_plan(day)
    return replace(plan, status="optimal", bounds=plan.scores)


def plan_for_all_with_bays_traded(
    day: Day, *, seconds: float, on_progress: ProgressCallback | None, should_stop: StopRequest | None
) -> Plan:
    """A search that finds room for Dee, and calls two bays that are alike by each other’s name."""
    return bays_traded(plan_for_all(day, seconds=seconds, on_progress=on_progress, should_stop=should_stop))


def test_what_a_search_has_proved_of_the_plan_that_stays_is_kept(tmp_path: Path) -> None:
    planning = Planning(store_in(tmp_path), plan_proved)
    before, after = before_and_after(planning)
    assert ended(planning).message == "Finished: version 2 as it was: nothing better was found."
    assert (after.visits, after.status, after.bounds) == (before.visits, "optimal", before.scores)


def test_what_was_proved_before_stays_where_a_search_proves_less(tmp_path: Path) -> None:
    planning = Planning(store_in(tmp_path), plan_with_bays_traded)
    plan = kept(planning).plan
    assert plan is not None
    proved = replace(plan, status="optimal", bounds=plan.scores)
    save_day(planning._store, kept(planning).day, proved, read=1, actor="test")
    _, after = before_and_after(planning)
    assert (after.visits, after.status, after.bounds) == (proved.visits, "optimal", proved.bounds)


def test_reasons_of_who_is_left_out_are_asked_anew(tmp_path: Path) -> None:
    planning = Planning(store_in(tmp_path), plan_with_bays_traded)
    before, after = before_and_after(planning)
    assert [left.id for left in after.left_out] == ["V4"]
    assert after.left_out == explained(kept(planning).day, before).left_out != before.left_out


def test_what_is_proved_where_some_may_not_move_is_not_proved_of_the_day(tmp_path: Path) -> None:
    """Ann was told of nine o'clock, so the search is of a day in which she comes then."""
    planning = Planning(store_in(tmp_path), plan_proved)
    day, plan = kept(planning).day, kept(planning).plan
    assert plan is not None
    ann = next(one for one in plan.visits if one.id == "V1")
    save_day(planning._store, replace(day, published=(ann,)), plan, read=1, actor="test")
    begin(planning)
    assert ended(planning).message == "Finished: version 2 as it was: nothing better was found."
    assert kept(planning).plan == plan


def test_whoever_stays_keeps_the_names_of_bays_in_a_proposal(tmp_path: Path) -> None:
    planning = Planning(store_in(tmp_path), plan_for_all_with_bays_traded)
    before = kept(planning).plan
    begin(planning)
    assert ended(planning).proposed
    proposal = planning.proposals.of(DATE)
    assert before is not None
    assert proposal is not None
    bays = [{one.id: [part.bay for part in one.parts] for one in plan.visits} for plan in (before, proposal.plan)]
    assert {id: bays[1][id] for id in bays[0]} == bays[0]


def test_a_finished_search_is_a_proposal_and_saved_when_it_is_accepted(tmp_path: Path) -> None:
    planning = Planning(store_in(tmp_path), plan_at_once)
    begin(planning)
    search = ended(planning)
    assert search.message == "Finished: a proposal. The plan on show is unchanged."
    assert search.scores["placed"] == 1
    assert kept(planning).version == 1
    assert accept(planning) == 2
    plan = kept(planning).plan
    assert plan is not None
    assert {visit.id: visit.parts[0].start for visit in plan.visits}["V1"] == 545


def test_cancel_keeps_the_best_so_far_within_half_a_second(tmp_path: Path) -> None:
    planning = Planning(store_in(tmp_path), plan_deaf)
    begin(planning, 60)
    wait_for_progress(planning)
    asked = time.monotonic()
    planning.cancel(DATE)
    search = ended(planning)
    assert time.monotonic() - asked < 0.7  # the worker's half second, and saving
    assert search.message == "Stopped; the best so far is a proposal. The plan on show is unchanged."


@pytest.mark.parametrize(
    ("solve", "said"),
    [(plan_dies, "ended by itself (code 7)"), (plan_breaks, "A fault in the solver (ValueError: no such\\nthing)")],
)
def test_a_search_that_fails_is_said_in_a_line_and_changes_nothing(
    tmp_path: Path, capfd: pytest.CaptureFixture[str], solve: object, said: str
) -> None:
    planning = Planning(store_in(tmp_path), solve)  # type: ignore[arg-type]
    before = kept(planning)
    begin(planning)
    search = ended(planning)
    assert said in search.message
    assert "unchanged" in search.message
    assert kept(planning) == before
    assert "Traceback" not in capfd.readouterr().err


def test_a_database_that_cannot_be_written_ends_the_search_and_says_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    planning = Planning(store_in(tmp_path), plan_at_once)

    def full(*_: object, **__: object) -> int:
        raise StoreError("clinic.db", "the disk is full", "make room and try again")

    was = kept(planning)
    save_day(planning._store, replace(was.day, date=date(2031, 3, 5)), None, read=0, actor="test")
    monkeypatch.setattr("app.services.planning.save_day", full)
    planning.start(date(2031, 3, 5), 5, actor="test")
    planning.wait(date(2031, 3, 5), 20)
    search = planning.current(date(2031, 3, 5))
    assert search is not None
    assert "could not be saved" in search.message
    assert search.lines == ("clinic.db: the disk is full; make room and try again",)


def test_a_day_that_is_changed_meanwhile_keeps_its_plan_and_it_is_said(tmp_path: Path) -> None:
    planning = Planning(store_in(tmp_path), plan_deaf)
    begin(planning, 60)
    wait_for_progress(planning)
    was = kept(planning)
    save_day(planning._store, was.day, a_clinic_plan(was.day, ann_at="09:01"), read=1, actor="somebody")
    planning.cancel(DATE)
    ended(planning)
    with pytest.raises(StaleDayError) as caught:
        accept(planning)
    assert any("somebody" in line and "V1" in line for line in caught.value.changes)
    assert kept(planning).version == 2


def test_a_search_that_cannot_be_started_leaves_the_next_one_free(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    planning = Planning(store_in(tmp_path), plan_at_once)

    def no_worker(*_: object) -> None:
        raise OSError(11, "no more processes")

    with monkeypatch.context() as broken:
        broken.setattr("app.services.planning.Worker", no_worker)
        with pytest.raises(InputError, match="no more processes"):
            begin(planning)
    begin(planning)
    assert ended(planning).proposed


def test_a_second_press_joins_the_search_that_runs(tmp_path: Path) -> None:
    planning = Planning(store_in(tmp_path), plan_deaf)
    first = begin(planning, 60)
    assert begin(planning, 30).began == first.began
    search = planning.current(DATE)
    assert search is not None
    assert search.limit == 60
    planning.close()


def test_no_more_than_two_days_are_searched_at_once(tmp_path: Path) -> None:
    planning = Planning(store_in(tmp_path), plan_deaf)
    day = kept(planning).day
    others = [date(2031, 3, number) for number in (5, 6)]
    for other in others:
        save_day(planning._store, replace(day, date=other), None, read=0, actor="test")
    begin(planning, 60)
    planning.start(others[0], 60, actor="test")
    with pytest.raises(InputError, match="2 other days"):
        planning.start(others[1], 60, actor="test")
    planning.close()


def test_a_date_that_nobody_is_booked_on_is_not_planned(tmp_path: Path) -> None:
    planning = Planning(store_in(tmp_path), plan_at_once)
    with pytest.raises(InputError, match="nobody is booked"):
        planning.start(date(2031, 3, 5), 5, actor="test")


def test_a_plan_that_breaks_a_rule_is_not_saved(tmp_path: Path) -> None:
    planning = Planning(store_in(tmp_path), plan_at_once)
    was = kept(planning)
    # The plan in the search's name gives Ann a start after nine; here she may come until half past nine only at nine.
    free = tuple(replace(visit, free=(Interval(540, 560),)) if visit.id == "V1" else visit for visit in was.day.visits)
    day = replace(was.day, visits=free)
    assert was.plan is not None
    assert not verify(day, was.plan)
    save_day(planning._store, day, was.plan, read=1, actor="test")
    begin(planning)
    search = ended(planning)
    assert "broke a rule" in search.message
    assert any(line.startswith("patient:") for line in search.lines)
    assert kept(planning).version == 2


@pytest.mark.parametrize("seconds", ["0", "121", "-5", "1.5", "", "ten", "９", "1e2", "9" * 30])
def test_seconds_outside_1_to_120_come_back_in_the_form(tmp_path: Path, seconds: str) -> None:
    app, planning = app_in(tmp_path, plan_at_once)
    with client_of(app) as client:
        answer = client.post(f"{ADDRESS}/plan", data={"seconds": seconds}, headers=HTMX)
    assert answer.status_code == 422
    assert "whole seconds from 1 to 120" in answer.text
    assert f'value="{seconds[:20] or "20"}"' in answer.text
    assert planning.current(DATE) is None


def test_without_script_a_post_leads_back_to_the_same_view(tmp_path: Path) -> None:
    app, planning = app_in(tmp_path, plan_at_once)
    with client_of(app, follow_redirects=False) as client:
        answer = client.post(f"{ADDRESS}/plan?unit=U1", data={"seconds": "5"}, headers=HERE)
        planning.wait(DATE, 20)
    assert (answer.status_code, answer.headers["location"]) == (303, f"{ADDRESS}?unit=U1")


def test_cancelling_nothing_is_no_fault(tmp_path: Path) -> None:
    app, planning = app_in(tmp_path, plan_at_once)
    with client_of(app) as client:
        assert client.post(f"{ADDRESS}/plan/cancel", headers=HTMX).status_code == 200
    assert planning.current(DATE) is None


def test_the_stream_ends_with_the_news_that_the_plan_is_there(tmp_path: Path) -> None:
    app, planning = app_in(tmp_path, plan_at_once)
    with client_of(app) as client:
        client.post(f"{ADDRESS}/plan", data={"seconds": "5"}, headers=HTMX)
        planning.wait(DATE, 20)
        stream = client.get(f"{ADDRESS}/plan/events").text
    assert "Finished: a proposal." in stream
    assert 'href="/day/2031-03-04/proposal"' in stream
    assert stream.rstrip().splitlines()[-2:] == ["event: planned", "data: over"]


@pytest.mark.slow
def test_a_wish_that_is_changed_changes_the_plan(tmp_path: Path) -> None:
    planning = Planning(store_in(tmp_path))
    was = kept(planning)
    visits = tuple(replace(visit, wish=640) if visit.id == "V2" else visit for visit in was.day.visits)
    day = replace(was.day, visits=visits)
    save_day(planning._store, day, a_clinic_plan(day), read=1, actor="test")
    begin(planning, 3)
    planning.wait(DATE, 45)
    accept(planning)
    now = kept(planning)
    assert now.plan is not None
    starts = {visit.id: visit.parts[0].start for visit in now.plan.visits}
    assert (now.version, starts["V2"]) == (3, 640)
    assert "V4" in starts
