"""``channelday simulate``: what it writes and says, what it refuses, and how it is ended."""

import json
import os
import pty
import signal
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from app.cli import run
from solver.errors import SimulationBrokenError
from solver.jsonio import plan_document, write_json
from solver.simulation import MOST_RUNS, Settings
from tests.app.cli_files import ROOT, Files, a_right_plan, a_small_day, channelday, written
from tests.solver.first_plans import planned


@pytest.fixture
def files(tmp_path: Path) -> Files:
    day = a_small_day()
    return written(tmp_path, day, a_right_plan(day))


def test_a_simulation_is_written_the_same_by_any_number_of_processes(files: Files) -> None:
    ended = channelday("simulate", files.day, files.plan, "--out", files.out, "--runs", "120", "--workers", "2")
    assert (ended.returncode, ended.stderr) == (0, b"")
    assert ended.stdout.startswith(b"120 runs: ")
    first = files.out.read_bytes()
    assert run(["simulate", str(files.day), str(files.plan), "--out", str(files.out), "--runs=120", "--workers=1"]) == 0
    assert files.out.read_bytes() == first
    result = json.loads(first)
    assert (result["format"], result["runs"], result["seed"]) == ("channelday-simulation/1", 120, 0)
    assert "Williams 2014" in " ".join(result["text"])
    assert files.left() == ["day.json", "out.json", "plan.json"]


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (["--runs", "0"], "--runs"),
        (["--runs", str(MOST_RUNS + 1)], "--runs"),
        (["--seed", "-1"], "--seed"),
        (["--workers", "65"], "--workers"),
        (["--late-share", "1.5"], "--late-share"),
        (["--overrun-share", "0.5"], "--overrun-mean"),
        (["--late-limit", "-3"], "--late-limit"),
        (["--late-mean", "soon"], "--late-mean"),
    ],
)
def test_a_wrong_option_is_one_line(
    files: Files, capsys: pytest.CaptureFixture[str], options: list[str], says: str
) -> None:
    assert run(["simulate", str(files.day), str(files.plan), "--out", str(files.out), *options]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert says in line
    assert not files.out.exists()


def test_a_plan_that_breaks_a_rule_is_refused_by_its_file(files: Files, capsys: pytest.CaptureFixture[str]) -> None:
    plan = a_right_plan(a_small_day())
    write_json(files.plan, plan_document(replace(plan, scores={**plan.scores, "finish": 1})))
    assert run(["simulate", str(files.day), str(files.plan), "--out", str(files.out)]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert line.startswith("scores: ")
    assert line.endswith(f"(in {files.plan})")
    assert not files.out.exists()


def test_an_input_is_not_written_over(files: Files, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["simulate", str(files.day), str(files.plan), "--out", str(files.plan)]) == 2
    assert "this file is an input" in capsys.readouterr().err


def test_a_process_that_is_gone_is_one_line(
    files: Files, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def gone(*_: object, **__: object) -> None:
        raise SimulationBrokenError

    monkeypatch.setattr("solver.simulation.simulate", gone)
    assert run(["simulate", str(files.day), str(files.plan), "--out", str(files.out)]) == 1
    (line,) = capsys.readouterr().err.splitlines()
    assert line.startswith("No simulation is written: ")
    assert not files.out.exists()


def test_the_defaults_of_the_options_are_those_of_the_settings(files: Files) -> None:
    assert run(["simulate", str(files.day), str(files.plan), "--out", str(files.out), "--runs=1", "--workers=1"]) == 0
    given = json.loads(files.out.read_text())["settings"]
    assert Settings(**given) == Settings()


def test_a_terminal_sees_progress_and_ctrl_c_leaves_nothing_behind(tmp_path: Path) -> None:
    day, plan = planned("M", 1)
    files = written(tmp_path, day, plan)
    terminal, stderr = pty.openpty()
    command = [sys.executable, "-c", "from app.cli import main; main()", "simulate", str(files.day), str(files.plan)]
    with subprocess.Popen(
        [*command, "--out", str(files.out), "--runs", "100000"],
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdout=subprocess.PIPE,
        stderr=stderr,
        start_new_session=True,
        # Whoever runs the tests in the background has told their processes to pass Ctrl-C over.
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL) and None,
    ) as process:
        os.close(stderr)
        said = _read(terminal)
        while b"pieces done" not in said:
            said += _read(terminal)
        os.killpg(process.pid, signal.SIGINT)
        assert process.wait(timeout=30) == 130
    while more := _read(terminal):
        said += more
    os.close(terminal)
    assert said.split(b"\r")[-2:] == [b"Stopped; nothing is written.", b"\n"]
    assert b"Traceback" not in said
    assert files.left() == ["day.json", "plan.json"]


def _read(terminal: int) -> bytes:
    """What the terminal shows next; nothing once the program has ended."""
    try:
        return os.read(terminal, 4096)
    except OSError:
        return b""
