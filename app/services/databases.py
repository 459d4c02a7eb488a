"""Making a clinic's database, opening it, and bringing an old one up to date."""

from dataclasses import dataclass
from pathlib import Path

from app.clock import zone_named
from app.db import migrating, sqlite
from app.db.store import Store, open_store
from app.errors import StoreError
from app.queries.audits import add_audit
from app.queries.clinics import add_clinic, the_clinic


@dataclass(frozen=True, slots=True)
class ClinicNamed:
    """What a database is of."""

    name: str
    time_zone: str


def clinic_of(store: Store) -> ClinicNamed:
    with store.reading() as session:
        clinic = the_clinic(session)
        return ClinicNamed(clinic.name, clinic.time_zone)


@dataclass(frozen=True, slots=True)
class Upgraded:
    """From which revision to which, and where the copy of the old file is; None on a server."""

    old: str
    new: str
    copy: Path | None


def make_database(data: str, clinic: str, time_zone: str) -> None:
    """Make the tables and the clinic. ``data``: a file that is not there yet, or the address of an empty database.

    Raises StoreError where it is taken or cannot be made, InputError for an unknown zone; then nothing is there.
    """
    zone_named(time_zone)
    store = open_store(data)
    if store.path is None:
        _fill(store, clinic, time_zone)
        return
    with sqlite.new_file(store.path) as part:
        _fill(open_store(str(part), name=data), clinic, time_zone)


def _fill(store: Store, clinic: str, time_zone: str) -> None:
    try:
        if store.path is None and migrating.revision_of(store) is not None:
            raise StoreError(store.name, "it holds a clinic already", "name an empty database")
        migrating.migrate(store)
        with store.writing() as session:
            made = add_clinic(session, clinic, time_zone)
            assert made.id is not None
            add_audit(session, made.id, "channelday init", "made", "clinic", after={"name": clinic, "zone": time_zone})
    finally:
        store.close()


def open_database(data: str) -> Store:
    """The clinic's database. Raises StoreError where it is not there, or not what this program needs."""
    store = open_store(data)
    try:
        migrating.check_newest(store)
    except StoreError:
        store.close()
        raise
    return store


def upgrade_database(data: str) -> Upgraded | None:
    """Bring a database up to date, with a copy of an old file kept beside it; None where it was up to date.

    Raises StoreError where it cannot be; then it is as it was.
    """
    store = open_store(data)
    try:
        old, new = migrating.revision_of(store), migrating.newest()
        if old is None:
            raise StoreError(store.name, "it holds no clinic", "make one with: channelday init")
        if old == new:
            return None
        migrating.check_known(store, old)
        copy = migrating.copy_beside(store, old)
        migrating.migrate(store)
        return Upgraded(old, new, copy)
    finally:
        store.close()
