"""What a file would bring in, shown before anything is kept."""

import json
from dataclasses import dataclass
from hashlib import sha256
from typing import Literal

from app.errors import StaleRecordError
from solver.errors import Fault, InputError

State = Literal["new", "changed", "same", "same name"]
"""``same``: nothing to do; ``same name``: somebody of that name is known and the row has no code: nothing is done."""


@dataclass(frozen=True, slots=True)
class PreviewRow:
    """``values``: as they are kept then; ``changes``: what is there now and what comes instead, by column."""

    line: int
    state: State
    values: dict[str, str]
    changes: dict[str, tuple[str, str]]


@dataclass(frozen=True, slots=True)
class Preview:
    """``digest`` goes with the file when it is brought in. It can be where there are no ``faults``."""

    encoding: str
    delimiter: str
    rows: tuple[PreviewRow, ...]
    faults: tuple[Fault, ...]
    digest: str

    def count(self, state: State) -> int:
        return sum(row.state == state for row in self.rows)


def digest_of_preview(content: bytes, rows: tuple[PreviewRow, ...]) -> str:
    """The same only for the same file and the same that comes of it."""
    said = json.dumps([[row.line, row.state, row.values, row.changes] for row in rows], sort_keys=True)
    return sha256(content + b"\0" + said.encode("utf-8")).hexdigest()


def refuse_if_other(preview: Preview, digest: str) -> None:
    """Raises InputError with the file's faults, and StaleRecordError where it is not what was shown."""
    if preview.faults:
        raise InputError(preview.faults)
    if preview.digest != digest:
        raise StaleRecordError("what the file would bring in")
