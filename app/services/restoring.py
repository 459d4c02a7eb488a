"""A copy of a clinic's database brought back."""

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from sqlalchemy import inspect

from app.clock import Clock, wall_clock
from app.db import migrating, sqlite
from app.db.keeping import file_of
from app.db.scratch import scratch
from app.db.store import Store, open_store
from app.errors import StoreError
from app.queries.audits import add_audit
from app.queries.clinics import the_clinic


@dataclass(frozen=True, slots=True)
class Restored:
    """Where what the database held is kept (None: there was none), and the revision it was upgraded from, if it was."""

    kept: Path | None
    upgraded_from: str | None


def restore_database(copy: Path, data: str, clock: Clock = wall_clock) -> Restored:
    """Make a copy's content the database's, upgraded where it is older, and keep beside it what the database held.

    Raises StoreError where the copy is damaged, of a newer Channelday or no database of it, where another process has
    the database open, or where it is on a server; then the database is as it was. The copy is never changed.
    """
    store = open_store(data)
    path = file_of(store)
    if not copy.is_file():
        raise StoreError(str(copy), "there is no such file", "give the path of a backup")
    if path.exists() and path.samefile(copy):
        raise StoreError(str(copy), "that is the database itself", "give the path of a backup")
    if not path.parent.is_dir():
        raise StoreError(data, "its folder is not there", "make the folder, or name another file")
    try:
        with scratch(path) as part:
            sqlite.copy_pages(copy, part)
            old = _made_ready(part, copy)
            kept = sqlite.put_in_place(part, path, _free_name(path, clock().astimezone()))
            return Restored(kept, old)
    except OSError as error:
        right = "see that its folder may be written and has room"
        raise StoreError(data, f"it cannot be restored ({(error.strerror or 'it failed').lower()})", right) from None


def _made_ready(part: Path, copy: Path) -> str | None:
    """Check and upgrade what is to be restored; the revision it was at, None where that is this program's."""
    _refuse_damaged(part, copy)
    store = open_store(str(part), name=str(copy))
    try:
        revision = migrating.revision_of(store)
        if revision is None or not inspect(store.engine).has_table("clinic"):
            raise StoreError(str(copy), "the file is no database of Channelday", "name another file")
        migrating.check_known(store, revision)
        upgraded = revision != migrating.newest()
        if upgraded:
            migrating.migrate(store)
        _say_in_audit(store)
    finally:
        store.close()
    _refuse_damaged(part, copy)
    return revision if upgraded else None


def _refuse_damaged(part: Path, copy: Path) -> None:
    faults = sqlite.faults_in(part)
    if faults:
        raise StoreError(str(copy), f"the copy is damaged ({faults[0]})", "use another one; nothing was changed")


def _say_in_audit(store: Store) -> None:
    with store.writing() as session:
        clinic = the_clinic(session, to_write=True)
        assert clinic.id is not None
        add_audit(session, clinic.id, "channelday restore", "restored", "clinic")


def _free_name(path: Path, now: datetime) -> Path:
    """A name beside the file that is not taken, for what it held until now."""
    wanted = path.with_name(f"{path.name}.before-restore-{now:%Y-%m-%d-%H%M%S}")
    target, n = wanted, 1
    while target.exists():
        n += 1
        target = wanted.with_name(f"{wanted.name}-{n}")
    return target
