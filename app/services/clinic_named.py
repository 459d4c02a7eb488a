"""The clinic's name and time zone, as they are set up by now."""

from contextlib import suppress

from app.db.store import Store
from app.errors import StoreError
from app.services.databases import ClinicNamed, clinic_of


class NamedClinic:
    """``known``: what was read last. ``now`` reads it again, and leaves it as it was where the database cannot be."""

    def __init__(self, store: Store) -> None:
        self._store = store
        self.known = clinic_of(store)

    def now(self) -> ClinicNamed:
        with suppress(StoreError):
            self.known = clinic_of(self._store)
        return self.known
