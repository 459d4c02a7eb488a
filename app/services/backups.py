"""Backups of a clinic's database: made while it is in use, and a number of them kept."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from app.clock import Clock, wall_clock
from app.db import migrating, sqlite
from app.db.keeping import file_of
from app.db.scratch import remove_left
from app.db.store import open_store
from app.errors import StoreError
from solver.errors import Fault, InputError

_STAMP = "%Y-%m-%d-%H%M%S%z"
_AT = re.compile(r"\d{4}-\d\d-\d\d-\d{6}[+-]\d{4}")


@dataclass(frozen=True, slots=True)
class Backup:
    """Where it is, and how many older ones were removed."""

    path: Path
    removed: int


def make_backup(data: str, folder: Path, keep: int, clock: Clock = wall_clock) -> Backup:
    """Copy the database into the folder, also while others use it, and remove all but the newest ``keep`` backups.

    The copy is named by the local time and its offset from UTC; only files that this made of this database are removed,
    never the one just made, and what killed processes left of backups half written. Raises StoreError where the
    database is damaged, is no file, or cannot be copied, and InputError where there is no such folder; then nothing is
    made or removed.
    """
    path = _database_file(data)
    _check_folder(folder)
    target = folder / f"{path.stem}-{_local(clock).strftime(_STAMP)}.backup"
    sqlite.write_backup(path, target)
    remove_left(folder, re.compile(rf"{re.escape(path.stem)}-{_AT.pattern}\.backup"))
    older = sorted(
        ((at, file) for at, file in _backups(path, folder) if file.name != target.name), key=lambda one: one[0]
    )
    too_many = older[: max(0, len(older) - (keep - 1))]
    for _, file in too_many:
        try:
            file.unlink(missing_ok=True)
        except OSError as error:
            what = f"it is too old to keep and cannot be removed ({(error.strerror or 'it failed').lower()})"
            raise StoreError(str(file), what, f"remove it; the new backup is {target}") from None
    return Backup(target, len(too_many))


def due_backup(data: str, folder: Path, keep: int, clock: Clock = wall_clock) -> Backup | None:
    """The day's backup, if it is still to be made; None where this local date has one. Raises as ``make_backup``."""
    path = _database_file(data)
    _check_folder(folder)
    today = _local(clock).date()
    if any(at.date() == today for at, _ in _backups(path, folder)):
        return None
    return make_backup(data, folder, keep, clock)


def _local(clock: Clock) -> datetime:
    return clock().astimezone()


def _database_file(data: str) -> Path:
    """The database's file, of this or an older Channelday. Raises StoreError where it is none."""
    store = open_store(data)
    try:
        path = file_of(store)
        revision = migrating.revision_of(store)
        if revision is None:
            raise StoreError(store.name, "it holds no clinic", "make one with: channelday init")
        migrating.check_known(store, revision)
        return path
    finally:
        store.close()


def _check_folder(folder: Path) -> None:
    # It is not made: where a disk is not there, its folder would be made on another one, and nobody would notice.
    if not folder.is_dir():
        raise InputError([Fault("--to", f"there is no folder {folder}", "make it, or name another")])


def _backups(path: Path, folder: Path) -> Iterator[tuple[datetime, Path]]:
    """The backups of the database that are in the folder, with the time each was made."""
    before, after = f"{path.stem}-", ".backup"
    for file in folder.iterdir():
        at = file.name.removeprefix(before).removesuffix(after)
        if file.name == f"{before}{at}{after}" and _AT.fullmatch(at) and sqlite.is_backup_of(path, file):
            yield datetime.strptime(at, _STAMP), file
