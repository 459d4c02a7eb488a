"""Planning again: one search at a time, in a process of its own, told of as it goes."""

import os
import shutil
import time
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from app.services.planning import Planning
from solver.errors import InputError
from tests.app.clinic_days import ADDRESS, HERE, app_in, files_in, plan_at_once, plan_breaks, plan_deaf, plan_dies

HTMX = {**HERE, "hx-request": "true"}


def wait_for_progress(planning: Planning, seconds: float = 15) -> None:
    """Until the running search has told of a plan."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if planning.current is not None and planning.current.scores:
            return
        time.sleep(0.01)
    raise AssertionError("the search told of nothing")


def test_a_finished_search_is_saved_as_the_next_version(tmp_path: Path) -> None:
    planning = Planning(files_in(tmp_path), plan_at_once)
    planning.start(5)
    planning.wait(20)
    search = planning.current
    assert search is not None
    assert (search.ended, search.message) == (True, "Finished: plan 2.")
    assert search.scores["placed"] == 1
    shown = planning.files.shown(planning.files.read()[0].date)
    assert shown is not None
    assert shown.version == 2


def test_cancel_keeps_the_best_so_far_within_half_a_second(tmp_path: Path) -> None:
    planning = Planning(files_in(tmp_path), plan_deaf)
    planning.start(60)
    wait_for_progress(planning)
    asked = time.monotonic()
    planning.cancel()
    planning.wait(5)
    assert time.monotonic() - asked < 0.5
    assert planning.current is not None
    assert planning.current.message == "Stopped; the best so far is plan 2."


def test_a_process_that_dies_is_said_and_changes_nothing(tmp_path: Path) -> None:
    planning = Planning(files_in(tmp_path), plan_dies)
    before = planning.files.plan_path.read_bytes()
    planning.start(5)
    planning.wait(20)
    assert planning.current is not None
    assert "ended by itself (code 7)" in planning.current.message
    assert "unchanged" in planning.current.message
    assert planning.files.plan_path.read_bytes() == before


def test_a_fault_in_the_solver_is_one_line_and_no_traceback(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    planning = Planning(files_in(tmp_path), plan_breaks)
    planning.start(5)
    planning.wait(20)
    assert planning.current is not None
    assert "A fault in the solver (ValueError: no such\\nthing)" in planning.current.message
    assert "Traceback" not in capfd.readouterr().err


def test_a_folder_that_is_gone_ends_the_search_and_says_so(tmp_path: Path) -> None:
    folder = tmp_path / "day"
    folder.mkdir()
    planning = Planning(files_in(folder), plan_at_once)
    planning.start(5)
    shutil.rmtree(folder)
    planning.wait(20)
    assert planning.current is not None
    assert planning.current.ended
    assert "could not be written" in planning.current.message
    assert planning.files.edited()
    with pytest.raises(InputError, match="put the file back"):
        planning.start(5)


def test_a_day_file_that_became_a_pipe_is_a_fault_and_waits_for_nobody(tmp_path: Path) -> None:
    planning = Planning(files_in(tmp_path), plan_at_once)
    planning.files.day_path.unlink()
    os.mkfifo(planning.files.day_path)
    with pytest.raises(InputError, match="a pipe"):
        planning.start(5)
    assert planning.files.edited()


def test_a_search_that_cannot_be_started_leaves_the_next_one_free(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    planning = Planning(files_in(tmp_path), plan_at_once)

    def no_worker(*_: object) -> None:
        raise OSError(11, "no more processes")

    with monkeypatch.context() as broken:
        broken.setattr("app.services.planning.Worker", no_worker)
        with pytest.raises(InputError, match="no more processes"):
            planning.start(5)
    planning.start(5)
    planning.wait(20)
    assert planning.current is not None
    assert planning.current.message == "Finished: plan 2."


def test_a_second_press_joins_the_search_that_runs(tmp_path: Path) -> None:
    planning = Planning(files_in(tmp_path), plan_deaf)
    first = planning.start(60)
    assert planning.start(30).began == first.began
    assert planning.current is not None
    assert planning.current.limit == 60
    planning.close()


def test_a_plan_that_breaks_a_rule_is_not_saved(tmp_path: Path) -> None:
    planning = Planning(files_in(tmp_path), plan_at_once)
    path = planning.files.day_path
    # The plan in the search's name keeps Bea at 10:00; here she may come from 11:00 only.
    day = path.read_text(encoding="utf-8").replace(
        '"patient": "Bea Later"', '"patient": "Bea Later", "free": [["11:00", "12:00"]]'
    )
    path.write_text(day, encoding="utf-8")
    planning.start(5)
    planning.wait(20)
    assert planning.current is not None
    assert "broke a rule" in planning.current.message
    assert any(line.startswith("patient:") for line in planning.current.lines)
    shown = planning.files.shown(planning.files.read()[0].date)
    assert shown is not None
    assert shown.version == 1


@pytest.mark.parametrize("seconds", ["0", "121", "-5", "1.5", "", "ten", "９", "1e2", "9" * 30])
def test_seconds_outside_1_to_120_come_back_in_the_form(tmp_path: Path, seconds: str) -> None:
    app, planning = app_in(tmp_path, plan_at_once)
    with TestClient(app, base_url="http://127.0.0.1") as client:
        answer = client.post(f"{ADDRESS}/plan", data={"seconds": seconds}, headers=HTMX)
    assert answer.status_code == 422
    assert "whole seconds from 1 to 120" in answer.text
    assert f'value="{seconds[:20] or "20"}"' in answer.text
    assert planning.current is None


def test_a_faulty_day_file_shows_its_faults_and_starts_nothing(tmp_path: Path) -> None:
    app, planning = app_in(tmp_path, plan_at_once)
    path = planning.files.day_path
    path.write_text(path.read_text(encoding="utf-8").replace('"step_min": 1', '"step_min": 7'), encoding="utf-8")
    with TestClient(app, base_url="http://127.0.0.1") as client:
        answer = client.post(f"{ADDRESS}/plan", data={"seconds": "5"}, headers=HTMX)
        page = client.get(ADDRESS).text
    assert answer.status_code == 422
    assert "step_min" in answer.text
    assert "<html" not in answer.text
    assert planning.current is None
    assert "the day file has changed" in page


def test_the_day_file_may_not_become_another_day(tmp_path: Path) -> None:
    app, planning = app_in(tmp_path, plan_at_once)
    path = planning.files.day_path
    path.write_text(path.read_text(encoding="utf-8").replace("2031-03-04", "2031-03-05"), encoding="utf-8")
    with TestClient(app, base_url="http://127.0.0.1") as client:
        assert "keep the date" in client.post(f"{ADDRESS}/plan", data={"seconds": "5"}, headers=HTMX).text


def test_without_script_a_post_leads_back_to_the_same_view(tmp_path: Path) -> None:
    app, planning = app_in(tmp_path, plan_at_once)
    with TestClient(app, base_url="http://127.0.0.1", follow_redirects=False) as client:
        answer = client.post(f"{ADDRESS}/plan?unit=U1", data={"seconds": "5"}, headers=HERE)
        planning.wait(20)
    assert (answer.status_code, answer.headers["location"]) == (303, f"{ADDRESS}?unit=U1")


def test_a_long_body_is_not_read_to_its_end(tmp_path: Path) -> None:
    app, _ = app_in(tmp_path, plan_at_once)
    with TestClient(app, base_url="http://127.0.0.1") as client:
        answer = client.post(f"{ADDRESS}/plan", data={"seconds": "5", "more": "x" * 5000}, headers=HTMX)
    assert answer.status_code == 422


def test_cancelling_nothing_is_no_fault(tmp_path: Path) -> None:
    app, planning = app_in(tmp_path, plan_at_once)
    with TestClient(app, base_url="http://127.0.0.1") as client:
        assert client.post(f"{ADDRESS}/plan/cancel", headers=HTMX).status_code == 200
    assert planning.current is None


def test_the_stream_ends_with_the_news_that_the_plan_is_there(tmp_path: Path) -> None:
    app, planning = app_in(tmp_path, plan_at_once)
    with TestClient(app, base_url="http://127.0.0.1") as client:
        client.post(f"{ADDRESS}/plan", data={"seconds": "5"}, headers=HTMX)
        planning.wait(20)
        stream = client.get(f"{ADDRESS}/plan/events").text
    assert "Finished: plan 2." in stream
    assert stream.rstrip().splitlines()[-2:] == ["event: planned", "data: over"]


@pytest.mark.slow
def test_a_figure_changed_in_the_day_file_changes_the_plan(tmp_path: Path) -> None:
    planning = Planning(files_in(tmp_path))
    path = planning.files.day_path
    path.write_text(path.read_text(encoding="utf-8").replace('"wish": "10:00"', '"wish": "10:40"'), encoding="utf-8")
    assert planning.files.edited()
    planning.start(3)
    planning.wait(45)
    shown = planning.files.shown(planning.files.read()[0].date)
    assert planning.current is not None
    assert shown is not None, planning.current.message
    starts = {visit.id: visit.parts[0].start for visit in shown.plan.visits}
    assert (shown.version, starts["V2"]) == (2, 640)
    assert "V4" in starts
    assert not planning.files.edited()
