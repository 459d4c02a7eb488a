"""``channelday verify`` and ``channelday report``: what they print, write and exit with."""

import json
from dataclasses import replace
from pathlib import Path

import pytest

from app.cli import run
from solver.jsonio import plan_document, write_json
from tests.app.cli_files import Files, a_right_plan, a_small_day, channelday, written
from tests.builders import a_plan, placed


@pytest.fixture
def files(tmp_path: Path) -> Files:
    day = a_small_day()
    return written(tmp_path, day, a_right_plan(day))


def test_a_right_plan_is_right(files: Files) -> None:
    ended = channelday("verify", files.day, files.plan)
    assert (ended.returncode, ended.stdout) == (0, b"")


def test_each_broken_rule_is_a_line_with_its_name(files: Files) -> None:
    day = a_small_day()
    clash = a_plan(day, placed(day.visits[0], "09:00"), placed(day.visits[1], "09:04", channels={"pads": ["s2"]}))
    write_json(files.plan, plan_document(clash))
    ended = channelday("verify", files.day, files.plan)
    assert ended.returncode == 1
    assert {line.split(":")[0] for line in ended.stdout.decode().splitlines()} >= {"hands", "bay"}
    assert ended.stderr == b""


def test_a_plan_of_another_shape_is_judged_and_not_refused(files: Files, capsys: pytest.CaptureFixture[str]) -> None:
    document = json.loads(files.plan.read_text())
    document["visits"][0]["parts"][0]["start"] = "late"
    document["mood"] = "good"
    files.plan.write_text(json.dumps(document))
    assert run(["verify", str(files.day), str(files.plan)]) == 1
    out, err = capsys.readouterr()
    assert err == ""
    assert [line.split(": ")[:2] for line in out.splitlines()] == [
        ["shape", "visits[0].parts[0].start"],
        ["shape", "mood"],
    ]


def test_json_that_is_no_object_is_a_wrong_shape(files: Files, capsys: pytest.CaptureFixture[str]) -> None:
    files.plan.write_text("[]")
    assert run(["verify", str(files.day), str(files.plan)]) == 1
    assert capsys.readouterr().out.startswith("shape: file: ")


@pytest.mark.parametrize("command", ["verify", "report"])
def test_a_plan_that_is_no_json_is_bad_input(files: Files, capsys: pytest.CaptureFixture[str], command: str) -> None:
    files.plan.write_text("not JSON")
    out = ["--out", str(files.out)] if command == "report" else []
    assert run([command, str(files.day), str(files.plan), *out]) == 2
    assert capsys.readouterr().err.startswith("line 1, column 1: ")


def test_a_report_is_written(files: Files) -> None:
    ended = channelday("report", files.day, files.plan, "--out", files.out)
    assert (ended.returncode, ended.stderr) == (0, b"")
    report = json.loads(files.out.read_text())
    assert report["format"] == "channelday-report/1"
    assert report["clinic"]["visits_placed"] == 2
    assert files.left() == ["day.json", "out.json", "plan.json"]


def test_a_plan_that_breaks_rules_is_counted_with_warnings(files: Files, capsys: pytest.CaptureFixture[str]) -> None:
    plan = a_right_plan(a_small_day())
    write_json(files.plan, plan_document(replace(plan, scores={**plan.scores, "finish": 1})))
    assert run(["report", str(files.day), str(files.plan), "--out", str(files.out)]) == 0
    assert capsys.readouterr().err.startswith("warning: scores: ")
    assert files.out.exists()


@pytest.mark.parametrize(
    ("key", "value", "where"),
    [
        ("id", "p9", "shape"),
        ("unit", "U9", "visits[0].parts[0].unit"),
        ("place", "cellar", "visits[0].parts[0].place"),
        ("bay", "F9", "visits[0].parts[0].bay"),
        ("channels", {"pads": ["s9"]}, "visits[0].parts[0].channels.pads[0]"),
        ("items", {"mud": []}, "visits[0].parts[0].items.mud"),
        ("hands", ["T9", None], "visits[0].parts[0].hands[0]"),
        ("start", 9, "visits[0].parts[0].start"),
    ],
)
def test_a_plan_that_does_not_fit_the_day_is_not_counted(
    files: Files, capsys: pytest.CaptureFixture[str], key: str, value: object, where: str
) -> None:
    document = json.loads(files.plan.read_text())
    document["visits"][0]["parts"][0][key] = value
    files.plan.write_text(json.dumps(document))
    assert run(["report", str(files.day), str(files.plan), "--out", str(files.out)]) == 2
    lines = capsys.readouterr().err.splitlines()
    assert [line.split(": ")[0] for line in lines] == [where]
    assert not files.out.exists()


def test_the_version_and_the_help_are_said(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["--version"]) == 0
    assert capsys.readouterr().out.startswith("channelday ")
    for command in ([], ["solve"], ["verify"], ["report"]):
        assert run([*command, "--help"]) == 0
        told = capsys.readouterr().out
        assert "Example: channelday" in told
        assert "Exit codes: 0" in told
