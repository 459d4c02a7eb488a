"""A full disk, a file that may only be read, a file that is something else: one clear line, and nothing is changed."""

import os
import resource
import shutil
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import redirect_stderr, redirect_stdout
from io import StringIO
from multiprocessing import get_context
from pathlib import Path

import pytest

from app.cli import run
from app.services.databases import open_database
from app.services.days import kept_day
from solver.jsonio import day_document, write_json
from tests.builders import A_DATE, a_day, a_visit
from tests.data.conftest import NewData

NOBODY = 65534
SMALL = 40_000
"""Bytes of the largest file, where a limit on it stands for a disk without room."""


def _run(folder: Path, *arguments: str, first: Callable[[], None] = lambda: None) -> tuple[int | None, str]:
    """Exit code and standard error of the program, in the folder and in a process of its own that does ``first``."""
    said = folder.parent / f"{folder.name}-said"

    def program() -> None:
        os.chdir(folder)
        with said.open("w", encoding="utf-8") as words, redirect_stderr(words), redirect_stdout(StringIO()):
            first()
            code = run(arguments)
        sys.exit(code)

    process = get_context("fork").Process(target=program)
    process.start()
    process.join(30)
    return process.exitcode, said.read_text(encoding="utf-8")


def _little_room() -> None:
    resource.setrlimit(resource.RLIMIT_FSIZE, (SMALL, SMALL))


def _no_longer_root() -> None:
    """Root may write what nobody may write."""
    if os.geteuid() == 0:
        os.seteuid(NOBODY)


@pytest.fixture
def folder(file_data: NewData) -> Iterator[Path]:
    """Holds ``clinic.db``, new, and ``day.json``, which is too large for a little room. Any user may go into it."""
    with tempfile.TemporaryDirectory(prefix="channelday-test-") as name:
        folder = Path(name) / "folder"
        folder.mkdir()
        folder.parent.chmod(0o755)
        shutil.copyfile(file_data(), folder / "clinic.db")
        write_json(folder / "day.json", day_document(a_day(*(a_visit(id=f"V{n}") for n in range(200)))))
        yield folder


def _holds_nothing(folder: Path) -> bool:
    store = open_database(str(folder / "clinic.db"))
    kept = kept_day(store, A_DATE)
    store.close()
    return kept is None


def test_a_full_disk(folder: Path) -> None:
    full = "it cannot be written, perhaps because the disk is full; make room; nothing was changed"
    assert _run(folder, "import-day", "day.json", "--data", "clinic.db", first=_little_room) == (
        2,
        f"clinic.db: {full}\n",
    )
    assert _holds_nothing(folder)
    assert _run(folder, "import-day", "day.json", "--data", "clinic.db") == (0, "")
    assert not _holds_nothing(folder)


def test_a_full_disk_while_a_database_is_made(folder: Path) -> None:
    code, said = _run(folder, "init", "--data", "new.db", first=_little_room)
    assert code == 2
    assert said.startswith("new.db: it cannot be written")
    assert said.count("\n") == 1
    assert sorted(path.name for path in folder.iterdir()) == ["clinic.db", "day.json"]


@pytest.mark.parametrize("words", [["backup", "--to", "."], ["restore", "copy.db"]])
def test_a_full_disk_while_a_copy_is_made(words: list[str], folder: Path) -> None:
    shutil.copyfile(folder / "clinic.db", folder / "copy.db")
    before = (folder / "clinic.db").read_bytes()
    code, said = _run(folder, *words, "--data", "clinic.db", first=_little_room)
    assert code == 2
    assert "perhaps because the disk is full" in said
    assert said.count("\n") == 1
    assert sorted(path.name for path in folder.iterdir()) == ["clinic.db", "copy.db", "day.json"]
    assert (folder / "clinic.db").read_bytes() == before


def test_a_file_that_may_only_be_read(folder: Path) -> None:
    (folder / "clinic.db").chmod(0o444)
    if os.geteuid() == 0:
        os.chown(folder, NOBODY, NOBODY)
    read_only = "the file may be read but not written; allow writing to it and to its folder"
    assert _run(folder, "import-day", "day.json", "--data", "clinic.db", first=_no_longer_root) == (
        2,
        f"clinic.db: {read_only}\n",
    )
    (folder / "clinic.db").chmod(0o644)
    assert _holds_nothing(folder)


@pytest.mark.parametrize("content", [b"{}", b"SQLite format 3\0" + b"\xff" * 5000])
def test_a_file_that_is_something_else(content: bytes, folder: Path) -> None:
    (folder / "other.db").write_bytes(content)
    code, said = _run(folder, "import-day", "day.json", "--data", "other.db")
    assert (code, said) == (2, "other.db: the file is no database of Channelday; name another file\n")
    assert (folder / "other.db").read_bytes() == content
