"""Backups made while others write, kept by number, due once a day; brought back, or refused. The clinic is invented."""

import os
import shutil
import sqlite3
import stat
import time
from collections.abc import Callable
from contextlib import closing
from datetime import datetime
from multiprocessing.connection import Connection
from pathlib import Path

import pytest

from app.cli import run
from app.db.migrating import migrate, newest, revision_of
from app.db.scratch import scratch
from app.db.store import open_store
from app.services.backups import due_backup, make_backup
from app.services.databases import open_database
from app.services.days import KeptDay, kept_day, save_day
from app.services.restoring import restore_database
from solver.verify import verify
from tests.builders import A_DATE, a_plan, placed
from tests.data.conftest import CopyOf
from tests.data.desks import a_day_of_slots, a_plan_of_slots, acknowledged, process, write_on

OLD = "0003"


def _at(text: str) -> Callable[[], datetime]:
    """A clock that stands still."""
    return lambda: datetime.fromisoformat(text)


def _kept(data: str) -> KeptDay:
    store = open_database(data)
    kept = kept_day(store, A_DATE)
    store.close()
    assert kept is not None
    return kept


@pytest.fixture(scope="module")
def planned(made_file: Path, kept_copy_of: CopyOf) -> Path:
    """Holds a day with a plan; to be copied and not touched."""
    data = kept_copy_of(str(made_file))
    store = open_database(data)
    save_day(store, a_day_of_slots(), a_plan_of_slots(a_day_of_slots()), read=0, actor="test")
    store.close()
    return Path(data)


@pytest.fixture
def data(planned: Path, tmp_path: Path) -> str:
    return str(shutil.copyfile(planned, tmp_path / "clinic.db"))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    folder = tmp_path / "backups"
    folder.mkdir()
    return folder


def _names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_every_backup_made_while_another_process_writes_is_consistent(data: str, folder: Path) -> None:
    writer, told = process(write_on, data, [f"save {n}" for n in range(30)])
    told.recv()
    made = [make_backup(data, folder, 8, _at(f"2031-03-04T09:{minute:02}")).path for minute in range(8)]
    versions = [version for _, version in acknowledged(told)]
    writer.join(20)
    assert writer.exitcode == 0
    seen = []
    for copy in made:
        with closing(sqlite3.connect(copy)) as file:
            assert file.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
            assert file.execute("PRAGMA foreign_key_check").fetchall() == []
        kept = _kept(str(copy))
        assert kept.plan is not None
        assert verify(kept.day, kept.plan) == []
        seen.append(kept.version)
    assert seen == sorted(seen)
    assert 1 < seen[0] < versions[-1] == 31, "they were all made before or after the writing"


def test_a_backup_is_one_file_for_its_owner_named_by_time(data: str, folder: Path) -> None:
    made = make_backup(data, folder, 14, _at("2031-03-04T09:30:15+00:00"))
    local = datetime.fromisoformat("2031-03-04T09:30:15+00:00").astimezone()
    assert _names(folder) == [f"{Path(data).stem}-{local:%Y-%m-%d-%H%M%S%z}.backup"] == [made.path.name]
    assert stat.S_IMODE(made.path.stat().st_mode) == 0o600
    assert _kept(str(made.path)) == _kept(data)


def test_only_the_newest_are_kept_and_no_other_file_is_touched(data: str, folder: Path) -> None:
    (folder / "x").mkdir()
    twin = shutil.copyfile(data, folder / "x" / Path(data).name)
    of_another_clinic = make_backup(str(twin), folder, 1, _at("2031-01-01T09:00")).path
    by_hand = folder / f"{Path(data).stem}-2031-01-02-090000+0000.backup"
    shutil.copyfile(data, by_hand)
    (folder / "notes.txt").write_text("to keep", encoding="utf-8")
    others = {"x", of_another_clinic.name, by_hand.name, "notes.txt"}
    removed = [make_backup(data, folder, 3, _at(f"2031-03-{day:02}T09:00")).removed for day in range(1, 7)]
    assert removed == [0, 0, 0, 1, 1, 1]
    left = [name for name in _names(folder) if name not in others]
    assert [name.removeprefix(f"{Path(data).stem}-")[:10] for name in left] == [
        "2031-03-04",
        "2031-03-05",
        "2031-03-06",
    ]
    assert others < set(_names(folder))


def test_a_clock_that_was_put_back_does_not_remove_what_was_just_made(data: str, folder: Path) -> None:
    make_backup(data, folder, 1, _at("2032-01-01T09:00"))
    made = make_backup(data, folder, 1, _at("2031-01-01T09:00"))
    assert _names(folder) == [made.path.name]


def test_a_backup_is_due_once_a_local_date(data: str, folder: Path) -> None:
    times = ["2031-03-04T00:10", "2031-03-04T23:50", "2031-03-05T00:10", "2031-03-05T00:20"]
    assert [due_backup(data, folder, 14, _at(time)) is not None for time in times] == [True, False, True, False]
    assert len(_names(folder)) == 2


def test_the_commands(data: str, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["backup", "--to", str(folder), "--data", data]) == 0
    (name,) = _names(folder)
    assert capsys.readouterr().out == f"The backup is {folder / name}.\n"
    assert run(["backup", "--to", str(folder), "--if-due", "--data", data]) == 0
    assert capsys.readouterr().out == "Today has a backup already.\n"
    assert run(["restore", str(folder / name), "--data", data]) == 0
    assert capsys.readouterr().out.startswith(
        f"{data} is restored from {folder / name}. What it held before is kept as"
    )
    assert _names(folder) == [name]


def test_a_server_is_told_its_own_tools(server: str, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    data = f"{server}/made"
    for arguments in (["backup", "--to", str(folder)], ["restore", str(folder)]):
        assert run([*arguments, "--data", data]) == 2
        err = capsys.readouterr().err
        assert "pg_dump" in err
        assert err.count("\n") == 1


@pytest.mark.parametrize("what", ["folder", "count", "database", "damage"])
def test_what_cannot_be_kept_is_said_in_one_line(
    what: str, data: str, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    arguments = {"--to": str(folder), "--keep": "14", "--data": data}
    if what == "damage":
        _damage(Path(data))
    else:
        option, value = {"folder": ("--to", "none"), "count": ("--keep", "0"), "database": ("--data", "none.db")}[what]
        arguments[option] = value
    assert run(["backup", *(word for pair in arguments.items() for word in pair)]) == 2
    err = capsys.readouterr().err
    assert err.count("\n") == 1
    assert what != "damage" or "damaged" in err
    assert _names(folder) == []


def _damage(path: Path) -> None:
    """Overwrite a page in which rows of parts lie, and leave the rest."""
    with closing(sqlite3.connect(path)) as file:
        file.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        (page,) = file.execute("SELECT rootpage FROM sqlite_master WHERE name = 'audit'").fetchone()
        (size,) = file.execute("PRAGMA page_size").fetchone()
    with path.open("r+b") as opened:
        opened.seek((page - 1) * size)
        opened.write(b"\xff" * size)


def test_what_is_restored_is_what_was_kept_and_what_was_there_stays(data: str, folder: Path) -> None:
    copy, before = make_backup(data, folder, 14).path, _kept(data)
    store = open_database(data)
    save_day(store, before.day, a_plan(before.day, placed(before.day.visits[0], "08:10")), read=1, actor="test")
    store.close()
    later, content = _kept(data), copy.read_bytes()
    assert later != before
    done = restore_database(copy, data)
    assert _kept(data) == before
    assert done.kept is not None
    assert _kept(str(done.kept)) == later
    assert stat.S_IMODE(done.kept.stat().st_mode) == 0o600
    assert copy.read_bytes() == content
    assert _others_differ(data, copy) == {"audit"}


def _others_differ(one: str, other: Path) -> set[str]:
    """The tables that do not hold the same rows."""
    with closing(sqlite3.connect(one)) as file, closing(sqlite3.connect(other)) as second:
        tables = [name for (name,) in file.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
        rows = "SELECT * FROM {}".format
        return {t for t in tables if file.execute(rows(t)).fetchall() != second.execute(rows(t)).fetchall()}


@pytest.mark.parametrize("was", ["not there", "damaged", "no database"])
def test_a_database_that_is_lost_is_brought_back(was: str, data: str, folder: Path) -> None:
    copy, before = make_backup(data, folder, 14).path, _kept(data)
    path = Path(data)
    if was == "damaged":
        _damage(path)
    elif was == "no database":
        path.write_bytes(b"not a database at all" * 100)
    else:
        path.unlink()
        path.with_name(f"{path.name}-wal").write_bytes(b"left behind")
    lost = path.read_bytes() if path.exists() else None
    done = restore_database(copy, data)
    assert _kept(data) == before
    if lost is None:
        assert done.kept is None
    else:
        assert done.kept is not None
        assert was == "damaged" or done.kept.read_bytes() == lost


def test_an_older_copy_is_upgraded(data: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    copy = tmp_path / "old.db"
    store = open_store(str(copy))
    migrate(store, OLD)
    store.close()
    with closing(sqlite3.connect(copy)) as file:
        file.execute(
            "INSERT INTO clinic (name, time_zone, step_min, move_min, bay_turnover_min, aims) "
            "VALUES ('Old clinic', 'Europe/Dublin', 5, 0, 0, '[]')"
        )
        file.commit()
    assert run(["restore", str(copy), "--data", data]) == 0
    assert f"upgraded from {OLD}" in capsys.readouterr().out
    assert (revision_of(open_store(data)), revision_of(open_store(str(copy)))) == (newest(), OLD)


def _make_newer(path: Path) -> None:
    with closing(sqlite3.connect(path)) as file:
        file.execute("UPDATE alembic_version SET version_num = '9999'")
        file.commit()


def _make_other(path: Path) -> None:
    path.unlink()
    with closing(sqlite3.connect(path)) as file:
        file.execute("CREATE TABLE songs (name text)")


@pytest.mark.parametrize(
    ("spoil", "said"),
    [
        (_damage, "the copy is damaged"),
        (_make_newer, "it is from a newer Channelday"),
        (_make_other, "the file is no database of Channelday"),
        (lambda path: path.write_bytes(b"{}"), "the file is no database of Channelday"),
        (lambda path: path.write_bytes(b""), "the file is no database of Channelday"),
        (Path.unlink, "there is no such file"),
        (lambda path: os.truncate(path, path.stat().st_size // 2), "damaged"),
    ],
)
def test_a_copy_that_is_not_right_is_refused_and_nothing_is_changed(
    spoil: Callable[[Path], object], said: str, data: str, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    copy, before = make_backup(data, folder, 14).path, Path(data).read_bytes()
    spoil(copy)
    beside = _names(Path(data).parent)
    assert run(["restore", str(copy), "--data", data]) == 2
    err = capsys.readouterr().err
    assert err.startswith(f"{copy}: ")
    assert said in err
    assert err.count("\n") == 1
    assert _names(Path(data).parent) == beside
    assert Path(data).read_bytes() == before


def test_a_database_that_another_process_has_open_is_not_restored(
    data: str, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    copy = make_backup(data, folder, 14).path
    writer, told = process(write_on, data, ["one", "two", *(f"more {n}" for n in range(500))])
    told.recv()
    code = run(["restore", str(copy), "--data", data])
    writer.kill()
    writer.join(20)
    assert code == 2
    said = "another process has it open; end that first, such as a server; nothing was changed"
    assert capsys.readouterr().err == f"{data}: {said}\n"
    assert _kept(data).version > 1
    assert [name for name in _names(Path(data).parent) if "restore" in name or "part" in name] == []


def _fill(target: str, _: object, told: Connection) -> None:
    """Begin to write the file, and never end."""
    with scratch(Path(target)) as part:
        part.write_bytes(b"half of it")
        part.with_name(f"{part.name}-journal").write_bytes(b"")
        told.send(part.name)
        time.sleep(60)


def test_what_a_killed_backup_left_goes_with_the_next_and_what_is_being_written_stays(data: str, folder: Path) -> None:
    killed, told_killed = process(_fill, str(folder / "clinic-2031-03-03-090000+0000.backup"), None)
    living, told_living = process(_fill, str(folder / "clinic-2031-03-03-100000+0000.backup"), None)
    other, told_other = process(_fill, str(folder / "notes.backup"), None)
    left, written, foreign = told_killed.recv(), told_living.recv(), told_other.recv()
    for one in (killed, other):
        one.kill()
        one.join(20)
    make_backup(data, folder, 14, _at("2031-03-04T08:00"))
    assert left in _names(folder)  # so new a file may be one whose maker is about to lock it
    for name in (left, written, foreign):
        os.utime(folder / name, (1, 1))
    made = make_backup(data, folder, 14, _at("2031-03-04T09:00"))
    there = _names(folder)
    living.kill()
    living.join(20)
    assert [name for name in there if name.startswith(left)] == []
    assert {written, foreign, made.path.name} < set(there)
