"""``channelday solve`` around the search: what is written, said and exited with. The search itself is a fake here."""

import io
import signal
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from types import ModuleType

import pytest

from app.cli import run
from app.commands.progress_line import ProgressLine, progress_text
from solver.errors import NoPlanInTimeError
from solver.jsonio import day_document, read_plan, write_json
from solver.problem import Day
from solver.progress import Progress, ProgressCallback, StopRequest
from solver.schedule import Clash, Plan
from solver.visits import Fixed
from tests.app.cli_files import Files, a_right_plan, a_small_day, written
from tests.builders import a_plan, an_infeasible_plan, left_out, placed

Search = Callable[[Day, StopRequest, ProgressCallback], Plan]


@pytest.fixture
def files(tmp_path: Path) -> Files:
    day = a_small_day()
    return written(tmp_path, day, a_right_plan(day))


@pytest.fixture
def searching(monkeypatch: pytest.MonkeyPatch) -> Callable[[Search], None]:
    """Puts a fake in the place of the search."""

    def use(search: Search) -> None:
        def solve(
            day: Day,
            *,
            seconds: float,
            seed: int,
            workers: int,
            on_progress: ProgressCallback,
            should_stop: StopRequest,
        ) -> Plan:
            assert (seconds, seed, workers) == (2.5, 7, 3)
            return search(day, should_stop, on_progress)

        module = ModuleType("solver.search")
        module.__dict__["solve"] = solve
        monkeypatch.setitem(sys.modules, "solver.search", module)

    return use


def solve(files: Files) -> int:
    options = ["--seconds", "2.5", "--seed", "7", "--workers", "3"]
    return run(["solve", str(files.day), "--out", str(files.out), *options])


def test_the_plan_is_written_and_summed_up(
    files: Files, searching: Callable[[Search], None], capsys: pytest.CaptureFixture[str]
) -> None:
    day = a_small_day()
    reasons = left_out("V2")
    plan = a_plan(day, placed(day.visits[0], "09:00"), left=[reasons])
    searching(lambda _day, _stop, _progress: plan)
    assert solve(files) == 0
    assert read_plan(files.out) == plan
    out, err = capsys.readouterr()
    assert err == ""
    assert "Placed: 1 of 2 visits." in out
    assert f"  V2: {reasons.reasons[0].text} ({reasons.reasons[0].rule})" in out.splitlines()
    assert "  placed: 1 priority left out, proved to be at least 0" in out.splitlines()


def test_an_infeasible_day_exits_3_and_its_conflict_is_written(
    files: Files, searching: Callable[[Search], None], capsys: pytest.CaptureFixture[str]
) -> None:
    day = replace(a_small_day(), visits=(replace(a_small_day().visits[0], fixed=Fixed()), a_small_day().visits[1]))
    write_json(files.day, day_document(day))
    plan = an_infeasible_plan(day, Clash(id="V1", rules=("hands", "bay")))
    searching(lambda _day, _stop, _progress: plan)
    assert solve(files) == 3
    assert read_plan(files.out) == plan
    out = capsys.readouterr().out.splitlines()
    assert out[0].startswith("Plan for 2031-03-04: infeasible (impossible")
    assert "  V1: hands, bay" in out


def test_a_plan_that_breaks_a_rule_is_never_written(
    files: Files, searching: Callable[[Search], None], capsys: pytest.CaptureFixture[str]
) -> None:
    plan = a_right_plan(a_small_day())
    searching(lambda _day, _stop, _progress: replace(plan, scores={**plan.scores, "finish": 1}))
    assert solve(files) == 1
    out, err = capsys.readouterr()
    assert out == ""
    assert err.splitlines()[0].startswith("The plan is not written")
    assert err.splitlines()[1].startswith("scores: ")
    assert files.left() == ["day.json", "plan.json"]


def test_no_plan_in_time_is_one_line(
    files: Files, searching: Callable[[Search], None], capsys: pytest.CaptureFixture[str]
) -> None:
    def search(_day: Day, _stop: StopRequest, _progress: ProgressCallback) -> Plan:
        raise NoPlanInTimeError(2.5)

    searching(search)
    assert solve(files) == 1
    (line,) = capsys.readouterr().err.splitlines()
    assert line.startswith("No plan is written: no plan was found within 2.5 seconds")
    assert files.left() == ["day.json", "plan.json"]


def test_the_first_ctrl_c_stops_the_search_and_keeps_its_plan(
    files: Files, searching: Callable[[Search], None], capsys: pytest.CaptureFixture[str]
) -> None:
    before = signal.getsignal(signal.SIGINT)

    def search(day: Day, should_stop: StopRequest, _progress: ProgressCallback) -> Plan:
        signal.raise_signal(signal.SIGINT)
        until = time.monotonic() + 5
        while not should_stop() and time.monotonic() < until:
            time.sleep(0.01)
        assert should_stop()
        return a_right_plan(day)

    searching(search)
    assert solve(files) == 0
    assert read_plan(files.out) == a_right_plan(a_small_day())
    assert capsys.readouterr().err == "Stopping; the best plan so far is kept.\n"
    assert signal.getsignal(signal.SIGINT) is before


def some_progress() -> Progress:
    plan = a_right_plan(a_small_day())
    return Progress(seconds=1.25, plan=plan, aim="wish", scores={"placed": 0, "wish": 35}, bounds={"wish": 20})


def test_the_progress_line_says_aim_score_bound_and_seconds() -> None:
    assert progress_text(replace(some_progress(), seconds=12.34)) == "12.3 s · wish: 35, at least 20"
    assert progress_text(replace(some_progress(), bounds={})) == "1.2 s · wish: 35"
    assert progress_text(replace(some_progress(), aim=None, plan=None)) == "1.2 s · looking for a first plan"


class _Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_a_terminal_sees_one_line_written_over_itself(monkeypatch: pytest.MonkeyPatch) -> None:
    terminal = _Terminal()
    monkeypatch.setattr(sys, "stderr", terminal)
    line = ProgressLine()
    line.show(some_progress())
    line.show(replace(some_progress(), bounds={}))
    line.clear()
    long, short = "1.2 s · wish: 35, at least 20", "1.2 s · wish: 35"
    assert terminal.getvalue() == f"\r{long}\r{short.ljust(len(long))}\r{' ' * len(short)}\r"


def test_no_terminal_sees_no_progress(monkeypatch: pytest.MonkeyPatch) -> None:
    file = io.StringIO()
    monkeypatch.setattr(sys, "stderr", file)
    ProgressLine().show(some_progress())
    assert file.getvalue() == ""
