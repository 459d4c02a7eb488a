"""Bad input: exit 2, one line for each fault on standard error, no traceback, nothing written."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from app.cli import run
from app.commands.lines import MOST_LINES
from solver.jsonio import day_document
from tests.app.cli_files import ROOT, Files, a_right_plan, a_small_day, channelday, written


@pytest.fixture
def files(tmp_path: Path) -> Files:
    day = a_small_day()
    return written(tmp_path, day, a_right_plan(day))


def _bad_day(files: Files) -> Path:
    document = day_document(a_small_day())
    document["visits"][0]["parts"][0]["phases"][1]["min"] = 0
    document["visits"][1]["patient"] = None
    bad = files.folder / "bad.json"
    bad.write_text(json.dumps(document))
    return bad


def test_each_fault_is_a_line_that_says_where_what_and_what_would_be_right(
    files: Files, capsys: pytest.CaptureFixture[str]
) -> None:
    bad = _bad_day(files)
    assert run(["solve", str(bad), "--out", str(files.out)]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.splitlines() == [
        f"visits[0].parts[0].phases[1].min: 0 is out of range; give a whole number from 1 to 1000000 (in {bad})",
        f"visits[1].patient: null stands here; give a text (in {bad})",
    ]
    assert not files.out.exists()


@pytest.mark.parametrize("command", ["solve", "verify", "report"])
@pytest.mark.parametrize("content", [b"", b"{", b"\xff", b"[" * 100_000, b" " * 50_000_000, b'{"\\ud800\\n": 1e400}'])
def test_a_hostile_day_file_is_refused_in_lines_by_every_command(
    files: Files, capsys: pytest.CaptureFixture[str], command: str, content: bytes
) -> None:
    files.day.write_bytes(content)
    plan = [] if command == "solve" else [str(files.plan)]
    out = [] if command == "verify" else ["--out", str(files.out)]
    assert run([command, str(files.day), *plan, *out]) == 2
    stdout, stderr = capsys.readouterr()
    assert stdout == ""
    assert stderr
    assert all("; " in line and line.isprintable() for line in stderr.splitlines())
    assert not files.out.exists()


def test_the_real_program_prints_hostile_texts_to_a_terminal_of_ascii(files: Files) -> None:
    files.day.write_bytes(b'{"format": "channelday-day/1", "\\ud800\\u001b[31m\\n\xe2\x82\xac": 1}')
    ended = channelday("solve", files.day, "--out", files.out, PYTHONIOENCODING="ascii", LC_ALL="C", PYTHONUTF8="0")
    assert (ended.returncode, ended.stdout) == (2, b"")
    lines = ended.stderr.decode("ascii").splitlines()
    assert lines[0].startswith(r"\ud800\x1b[31m\n\u20ac: this key is unknown; ")
    assert all(" (in " in line for line in lines)


def test_a_flood_is_cut_and_counted(files: Files, capsys: pytest.CaptureFixture[str]) -> None:
    document = day_document(a_small_day())
    document["units"][0]["places"] = [f"x{i}" for i in range(MOST_LINES + 120)]
    files.day.write_text(json.dumps(document))
    assert run(["verify", str(files.day), str(files.plan)]) == 2
    lines = capsys.readouterr().err.splitlines()
    assert len(lines) == MOST_LINES + 1
    assert lines[-1] == "and 120 more faults"


@pytest.mark.parametrize("kind", ["missing", "folder", "pipe"])
def test_a_day_that_is_no_file_is_named_by_its_path(
    files: Files, capsys: pytest.CaptureFixture[str], kind: str
) -> None:
    path = files.folder / "odd"
    if kind == "folder":
        path.mkdir()
    elif kind == "pipe":
        os.mkfifo(path)
    assert run(["verify", str(path), str(files.plan)]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert line.startswith(f"{path}: ")


@pytest.mark.parametrize(
    ("options", "says"),
    [
        ([], "Missing option '--out'"),
        (["--seconds", "0"], "--seconds"),
        (["--seconds", "-1"], "--seconds"),
        (["--seconds", "nan"], "--seconds"),
        (["--seconds", "inf"], "--seconds"),
        (["--seconds", "soon"], "--seconds"),
        (["--workers", "0"], "--workers"),
        (["--workers", "65"], "--workers"),
        (["--workers", "1.5"], "--workers"),
        (["--seed", "-1"], "--seed"),
        (["--seed", "2147483648"], "--seed"),
        (["--hurry"], "--hurry"),
    ],
)
def test_a_wrong_option_is_one_line(
    files: Files, capsys: pytest.CaptureFixture[str], options: list[str], says: str
) -> None:
    out = ["--out", str(files.out)] if options else []
    assert run(["solve", str(files.day), *out, *options]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert says in line
    assert not files.out.exists()


@pytest.mark.parametrize("arguments", [[], ["dance"], ["verify"], ["report", "a", "b"]])
def test_a_wrong_command_is_one_line(capsys: pytest.CaptureFixture[str], arguments: list[str]) -> None:
    assert run(arguments) == 2
    assert len(capsys.readouterr().err.splitlines()) == 1


@pytest.mark.parametrize("given", ["day", "link", "hard link"])
def test_an_input_is_never_written_over(files: Files, capsys: pytest.CaptureFixture[str], given: str) -> None:
    out = files.folder / "same.json"
    if given == "link":
        out.symlink_to(files.day)
    elif given == "hard link":
        out.hardlink_to(files.day)
    else:
        out = files.folder / "." / "day.json"
    before = files.day.read_bytes()
    assert run(["solve", str(files.day), "--out", str(out)]) == 2
    assert "this file is an input" in capsys.readouterr().err
    assert files.day.read_bytes() == before


def test_a_missing_folder_is_told_before_the_search(files: Files, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["solve", str(files.day), "--out", str(files.folder / "no" / "plan.json")]) == 2
    assert "its folder does not exist" in capsys.readouterr().err


def test_no_command_waits_for_the_web_server_or_the_search_engine_to_load() -> None:
    loaded = "import sys, app.cli; sys.exit(bool({'fastapi', 'uvicorn', 'ortools'} & set(sys.modules)))"
    assert subprocess.run([sys.executable, "-c", loaded], cwd=ROOT, check=False).returncode == 0
