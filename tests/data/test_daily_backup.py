"""While the pages are served, each day has a backup, and what keeps it from having one is said once."""

import time
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path

from app.services.daily_backup import DailyBackup
from tests.data.conftest import NewData


def soon(is_so: Callable[[], bool]) -> None:
    end = time.monotonic() + 20
    while not is_so():
        assert time.monotonic() < end
        time.sleep(0.01)


def test_each_day_gets_one_and_as_many_are_kept_as_are_asked_for(file_data: NewData, tmp_path: Path) -> None:
    folder, said = tmp_path / "backups", list[str]()
    folder.mkdir()
    today = [datetime(2031, 3, 4, 10, 0)]
    backups = DailyBackup(file_data(), folder, 2, said.append, lambda: today[0], every=0.01)
    for day in range(1, 4):
        soon(lambda day=day: len(said) == day)  # type: ignore[misc]
        time.sleep(0.05)  # looked at again, and not due
        assert len(said) == day
        today[0] += timedelta(days=1) if day < 3 else timedelta()
    backups.close()
    assert len(list(folder.glob("*.backup"))) == 2


def test_what_keeps_it_from_being_made_is_said_once_and_it_is_tried_again(file_data: NewData, tmp_path: Path) -> None:
    folder, said = tmp_path / "gone", list[str]()
    backups = DailyBackup(file_data(), folder, 2, said.append, every=0.01)
    soon(lambda: len(said) == 1)
    time.sleep(0.1)
    assert len(said) == 1
    assert "there is no folder" in said[0]
    folder.mkdir()
    soon(lambda: len(said) == 2)
    backups.close()
    assert "The backup of the day is" in said[1]
