"""What can go wrong with the clinic's own data, as a tree:

solver.errors.ChanneldayError
├── StoreError          the database cannot be used: says which, what is wrong, and what would help
├── StaleDayError       the day was changed by somebody else since it was read
├── StaleSetUpError     what is set up was changed by somebody else since it was read
└── StaleRecordError    the same of a treatment, a course, a patient, or a previewed file
"""

from collections.abc import Iterable, Sequence
from datetime import date

from solver.errors import ChanneldayError


class StoreError(ChanneldayError):
    """The database cannot be opened, read or written; nothing of what was asked for is in it."""

    def __init__(self, where: str, what: str, right: str) -> None:
        super().__init__(f"{where}: {what}; {right}")


class StaleDayError(ChanneldayError):
    """The day has another version than the one that was read. ``changes``: what was changed meanwhile, a line each."""

    def __init__(self, day: date, read: int, now: int, changes: Iterable[str]) -> None:
        self.version = now
        self.changes: Sequence[str] = tuple(changes)
        super().__init__(f"{day} was read as version {read} and is version {now} by now; read it again")


class StaleSetUpError(ChanneldayError):
    """A thing has another version than the one that was read. ``changes``: what was changed meanwhile, a line each."""

    def __init__(self, record: str, read: int, now: int, changes: Iterable[str]) -> None:
        self.version = now
        self.changes: Sequence[str] = tuple(changes)
        super().__init__(f"{record} was read as version {read} and is version {now} by now; read it again")


class StaleRecordError(ChanneldayError):
    """The record has another version than the one that was read."""

    def __init__(self, record: str) -> None:
        super().__init__(f"{record} was changed by somebody else since it was read; read it again")
