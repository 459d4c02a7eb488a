"""Reading from and writing to a file system that does not always do as it is asked."""

import errno
import json
import os
from pathlib import Path

import pytest

from solver.errors import InputError, UnreadableError
from solver.jsonio import day_document, read_day, read_plan, write_json
from tests.solver.reading.full_files import content, full_day, full_plan


def test_a_day_and_a_plan_are_read_from_disk(tmp_path: Path) -> None:
    (tmp_path / "day.json").write_bytes(content(full_day()))
    (tmp_path / "plan.json").write_bytes(content(full_plan()))
    assert read_day(tmp_path / "day.json").units[0].id == "U1"
    assert read_plan(str(tmp_path / "plan.json")).visits[0].id == "V1"


@pytest.mark.parametrize("kind", ["missing", "under a file", "folder", "pipe", "device", "endless", "long", "NUL"])
def test_what_is_no_readable_file_is_refused_by_its_path(tmp_path: Path, kind: str) -> None:
    path = tmp_path / "day.json"
    if kind == "folder":
        path.mkdir()
    elif kind == "pipe":
        os.mkfifo(path)
    elif kind == "under a file":
        path.touch()
        path = path / "day.json"
    elif kind in ("device", "endless"):
        path = Path("/dev/null" if kind == "device" else "/dev/zero")
    elif kind == "long":
        path = tmp_path / ("x" * 5_000)
    elif kind == "NUL":
        path = tmp_path / "a\0b"
    with pytest.raises(UnreadableError) as refusal:
        read_day(path)
    assert [fault.where for fault in refusal.value.faults] == [str(path)]


def test_a_file_without_permission_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> int:
        raise PermissionError(errno.EACCES, "Permission denied")

    monkeypatch.setattr(os, "open", refuse)
    with pytest.raises(UnreadableError, match="may not be read"):
        read_day(tmp_path / "day.json")


def test_what_is_written_is_readable_json_of_short_lines(tmp_path: Path) -> None:
    path = tmp_path / "day.json"
    path.write_bytes(content(full_day()))
    day = read_day(path)
    write_json(path, day_document(day))
    assert read_day(path) == day
    assert max(len(line) for line in path.read_text("utf-8").splitlines()) < 80
    assert [file.name for file in tmp_path.iterdir()] == ["day.json"]


def test_a_new_file_has_the_usual_permissions(tmp_path: Path) -> None:
    (tmp_path / "usual").touch()
    write_json(tmp_path / "written", {})
    assert (tmp_path / "written").stat().st_mode == (tmp_path / "usual").stat().st_mode


def test_a_link_still_points_to_the_file_that_was_written(tmp_path: Path) -> None:
    (tmp_path / "real.json").touch()
    (tmp_path / "link.json").symlink_to("real.json")
    write_json(tmp_path / "link.json", {"a": "ä"})
    assert (tmp_path / "link.json").is_symlink()
    assert json.loads((tmp_path / "real.json").read_text("utf-8")) == {"a": "ä"}


@pytest.mark.parametrize("step", ["fsync", "replace"])
def test_a_full_disk_leaves_the_old_file_and_nothing_else(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    path = tmp_path / "plan.json"
    path.write_text("old")

    def fail(*_: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os if step == "fsync" else Path, step, fail)
    with pytest.raises(InputError, match="no space left on device"):
        write_json(path, {"a": 1})
    assert path.read_text() == "old"
    assert [file.name for file in tmp_path.iterdir()] == ["plan.json"]


@pytest.mark.parametrize(("path", "says"), [("no/plan.json", "folder does not exist"), (".", "not a plain file")])
def test_a_path_that_cannot_be_written_is_refused(tmp_path: Path, path: str, says: str) -> None:
    with pytest.raises(InputError, match=says):
        write_json(tmp_path / path, {})
    with pytest.raises(InputError, match="not a plain file"):
        write_json("/dev/null", {})


def test_a_folder_without_permission_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "access", lambda *_: False)
    with pytest.raises(InputError, match="may not be written to"):
        write_json(tmp_path / "plan.json", {})
