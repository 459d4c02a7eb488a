"""``channelday offers`` and ``channelday whynot``: what they print, write and exit with."""

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from app.cli import run
from solver.jsonio import day_document, plan_document, write_json
from tests.app.cli_files import Files, a_right_plan, a_small_day, channelday, written
from tests.builders import a_plan, placed

QUESTIONS = (["offers"], ["whynot", "--at", "09:10"])


@pytest.fixture
def files(tmp_path: Path) -> Files:
    day = a_small_day()
    files = written(tmp_path, day, a_right_plan(day))
    visit_file(files, id="new", patient="somebody new")
    return files


def visit_file(files: Files, **changes: object) -> Path:
    """The first visit of the small day with changes, as a file."""
    path = files.folder / "visit.json"
    path.write_text(json.dumps({**day_document(a_small_day())["visits"][0], **changes}))
    return path


def ask(files: Files, *question: str) -> int:
    command, *options = question
    inputs = [str(files.day), str(files.plan), str(files.folder / "visit.json")]
    return run([command, *inputs, *options, "--out", str(files.out)])


def answer(files: Files) -> Any:
    return json.loads(files.out.read_text())


def test_offers_are_written_by_time_as_visits_of_a_plan(files: Files) -> None:
    ended = channelday("offers", files.day, files.plan, files.folder / "visit.json", "--out", files.out)
    assert (ended.returncode, ended.stderr) == (0, b"")
    starts = [offer["parts"][0]["start"] for offer in answer(files)["offers"]]
    # T1's hands are at V1 09:00-09:05 and at V2 09:30-09:35, and wanted for the first five minutes.
    assert starts[0] == "09:05"
    assert starts[-1] == "11:45"
    assert not {"09:26", "09:30", "09:34"} & set(starts)
    assert {"09:25", "09:35"} <= set(starts)
    assert starts == sorted(starts)
    assert answer(files)["offers"][0] == {
        "id": "new",
        "therapist": "T1",
        "parts": [
            {
                "id": "p1",
                "start": "09:05",
                "unit": "U1",
                "place": "front",
                "bay": "F2",
                "channels": {"pads": ["s2"]},
                "items": {},
                "hands": ["T1", None],
            }
        ],
    }
    assert files.left() == ["day.json", "out.json", "plan.json", "visit.json"]


def test_a_visit_of_the_plan_may_stay_where_it_is(files: Files) -> None:
    visit_file(files)
    assert ask(files, "offers") == 0
    assert answer(files)["offers"][0]["parts"][0]["start"] == "09:00"


def test_what_the_day_has_fixed_is_kept(files: Files) -> None:
    document = day_document(a_small_day())
    document["visits"][0]["fixed"] = {"parts": [{"start": "09:00"}]}
    files.day.write_text(json.dumps(document))
    visit_file(files)
    assert ask(files, "offers") == 0
    assert [offer["parts"][0]["start"] for offer in answer(files)["offers"]] == ["09:00"]


def test_a_start_that_fits_has_no_reasons_and_is_the_nearest(files: Files) -> None:
    assert ask(files, "whynot", "--at", "10:00") == 0
    told = answer(files)
    assert (told["fits"], told["reasons"]) == (True, [])
    assert [offer["parts"][0]["start"] for offer in told["nearest"]] == ["10:00", "09:59", "10:01"]


def test_a_start_that_does_not_fit_names_who_holds_what_and_what_is_near(files: Files) -> None:
    assert ask(files, "whynot", "--at", "09:33") == 0
    told = answer(files)
    assert told["fits"] is False
    (reason,) = told["reasons"]
    assert {key: reason[key] for key in ("rule", "resource", "from", "to", "held_by")} == {
        "rule": "hands",
        "resource": "T1",
        "from": "09:30",
        "to": "09:35",
        "held_by": ["V2"],
    }
    assert reason["text"]
    assert [offer["parts"][0]["start"] for offer in told["nearest"]] == ["09:35", "09:36", "09:25"]


def test_a_start_outside_the_day_is_nobodys_fault(files: Files) -> None:
    assert ask(files, "whynot", "--at", "23:59") == 0
    told = answer(files)
    assert {(reason["rule"], tuple(reason["held_by"])) for reason in told["reasons"]} >= {
        ("hours", ()),
        ("patient", ()),
    }


@pytest.mark.parametrize("question", QUESTIONS)
def test_every_fault_of_the_visit_is_a_line(
    files: Files, capsys: pytest.CaptureFixture[str], question: list[str]
) -> None:
    path = visit_file(files, patient=None, therapist_must="T9", mood="good")
    assert ask(files, *question) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert [line.split(": ")[0] for line in err.splitlines()] == ["patient", "mood", "therapist_must"]
    assert all(line.endswith(f"(in {path})") for line in err.splitlines())
    assert not files.out.exists()


@pytest.mark.parametrize("question", QUESTIONS)
@pytest.mark.parametrize("content", ["", "[]", "{", '{"id": "V1"}'])
def test_a_file_that_holds_no_visit_is_refused(
    files: Files, capsys: pytest.CaptureFixture[str], question: list[str], content: str
) -> None:
    (files.folder / "visit.json").write_text(content)
    assert ask(files, *question) == 2
    assert all("; " in line for line in capsys.readouterr().err.splitlines())
    assert not files.out.exists()


@pytest.mark.parametrize("question", QUESTIONS)
def test_a_plan_that_breaks_rules_is_refused_with_each(
    files: Files, capsys: pytest.CaptureFixture[str], question: list[str]
) -> None:
    day = a_small_day()
    clash = a_plan(day, placed(day.visits[0], "09:00"), placed(day.visits[1], "09:04", channels={"pads": ["s2"]}))
    write_json(files.plan, plan_document(clash))
    assert ask(files, *question) == 2
    lines = capsys.readouterr().err.splitlines()
    assert {line.split(": ")[0] for line in lines} == {"hands", "bay"}
    assert all("give a plan that is right for the day" in line for line in lines)
    assert not files.out.exists()


def test_an_infeasible_plan_has_no_offers(files: Files, capsys: pytest.CaptureFixture[str]) -> None:
    day = a_small_day()
    fixed = day_document(day)
    for visit in fixed["visits"]:
        visit["fixed"] = {"parts": [{"start": "09:00"}]}
    files.day.write_text(json.dumps(fixed))
    plan = {**plan_document(replace(a_plan(day), visits=(), left_out=(), scores={}, bounds={}, status="infeasible"))}
    plan["conflict"] = [{"id": "V1", "rules": ["hands"]}, {"id": "V2", "rules": ["hands"]}]
    files.plan.write_text(json.dumps(plan))
    assert ask(files, "offers") == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert line.startswith("status: ")


@pytest.mark.parametrize("at", ["soon", "24:00", "9:00", "25:00", ""])
def test_a_wrong_time_is_one_line(files: Files, capsys: pytest.CaptureFixture[str], at: str) -> None:
    assert ask(files, "whynot", "--at", at) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert "--at" in line
    assert not files.out.exists()


@pytest.mark.parametrize("question", QUESTIONS)
def test_the_visit_is_never_written_over(files: Files, capsys: pytest.CaptureFixture[str], question: list[str]) -> None:
    files = replace(files, out=files.folder / "visit.json")
    before = files.out.read_bytes()
    assert ask(files, *question) == 2
    assert "this file is an input" in capsys.readouterr().err
    assert files.out.read_bytes() == before


@pytest.mark.parametrize("command", ["offers", "whynot"])
def test_the_help_says_how(capsys: pytest.CaptureFixture[str], command: str) -> None:
    assert run([command, "--help"]) == 0
    told = capsys.readouterr().out
    assert "Example: channelday" in told
    assert "Exit codes: 0" in told
