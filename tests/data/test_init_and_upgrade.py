"""``init`` and ``upgrade``: a database is made whole or not at all, and an old one is kept when it is upgraded."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from app.cli import run
from app.db.migrating import migrate, newest, revision_of
from app.db.store import open_store
from tests.data.conftest import NewData

OLD = "0003"


def _old_database(path: Path) -> None:
    store = open_store(str(path))
    migrate(store, OLD)
    store.close()
    with closing(sqlite3.connect(path)) as file:
        file.execute(
            "INSERT INTO clinic (name, time_zone, step_min, move_min, bay_turnover_min, aims) "
            "VALUES ('Old clinic', 'Europe/Dublin', 5, 0, 0, '[]')"
        )
        file.commit()


def _names(path: Path) -> list[str]:
    with closing(sqlite3.connect(path)) as file:
        return [name for (name,) in file.execute("SELECT name FROM clinic")]


def test_init_makes_the_file_and_nothing_beside_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    data = tmp_path / "clinic.db"
    assert run(["init", "--data", str(data), "--name", "Quay clinic", "--zone", "Europe/Dublin"]) == 0
    assert capsys.readouterr().out.startswith("Quay clinic has its database, in the time zone Europe/Dublin.")
    assert [path.name for path in tmp_path.iterdir()] == ["clinic.db"]
    assert _names(data) == ["Quay clinic"]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--data", "there.db"], "there.db: there is a file of that name; name another, or take that one away"),
        (["--data", "none/x.db"], "none/x.db: it cannot be opened; see that the folder is there and may be written"),
        (["--zone", "Mars/Sea"], "--zone: there is no time zone 'Mars/Sea'; give a name such as Europe/Dublin"),
        (
            ["--data", "mysql://x/y"],
            "--data: that address is of no database that Channelday knows; "
            "give a file name, or an address such as postgresql://user@host/database",
        ),
    ],
)
def test_init_says_what_is_in_the_way_and_leaves_nothing(
    arguments: list[str], said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("there.db").write_text("something else", encoding="utf-8")
    assert run(["init", *arguments]) == 2
    assert capsys.readouterr().err == f"{said}\n"
    assert [path.name for path in tmp_path.iterdir()] == ["there.db"]


def test_init_refuses_a_server_database_that_holds_a_clinic(
    new_data: NewData, capsys: pytest.CaptureFixture[str]
) -> None:
    data = new_data()
    assert run(["init", "--data", data]) == 2
    assert capsys.readouterr().err.count("\n") == 1


def test_upgrade_keeps_the_old_file_beside_the_new(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    data = tmp_path / "clinic.db"
    _old_database(data)
    assert run(["upgrade", "--data", str(data)]) == 0
    copy = tmp_path / f"clinic.db.before-{newest()}-at-{OLD}"
    said = f"The database is upgraded from {OLD} to {newest()}; the old one is kept as {copy}."
    assert capsys.readouterr().out == f"{said}\n"
    assert {path.name for path in tmp_path.iterdir()} == {data.name, copy.name}
    assert (revision_of(open_store(str(data))), revision_of(open_store(str(copy)))) == (newest(), OLD)
    assert _names(data) == _names(copy) == ["Old clinic"]


def test_upgrade_leaves_a_new_database_alone(new_data: NewData, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["upgrade", "--data", new_data()]) == 0
    assert capsys.readouterr().out == "The database is up to date.\n"


def test_an_upgrade_that_fails_changes_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    data = tmp_path / "clinic.db"
    _old_database(data)
    with closing(sqlite3.connect(data)) as file:
        file.execute("CREATE TABLE left_out_visit (in_the_way int)")
    assert run(["upgrade", "--data", str(data)]) == 2
    assert "in the way" not in capsys.readouterr().err
    assert revision_of(open_store(str(data))) == OLD
    with closing(sqlite3.connect(data)) as file:
        tables = {name for (name,) in file.execute("SELECT name FROM sqlite_master")}
    assert "saved_plan" not in tables


@pytest.mark.parametrize(
    ("revision", "said"),
    [
        ("9999", "it is from a newer Channelday; use the Channelday that it was last used with, or a newer one"),
    ],
)
def test_a_database_of_another_time_is_not_touched(
    revision: str, said: str, file_data: NewData, capsys: pytest.CaptureFixture[str]
) -> None:
    data = file_data()
    with closing(sqlite3.connect(data)) as file:
        file.execute(f"UPDATE alembic_version SET version_num = '{revision}'")
        file.commit()
    assert run(["upgrade", "--data", data]) == 2
    assert capsys.readouterr().err == f"{data}: {said}\n"
