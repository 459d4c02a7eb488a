"""Files that are being filled, beside the one that they are to become, and what a killed process left of such."""

import fcntl
import os
import re
import secrets
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

BESIDE = ("-wal", "-journal", "-shm")
"""What lies beside a database file that is in use, or that was not closed."""
_PART = re.compile(r"\.(.+)\.[0-9a-f]{8}\.part")
_NEW_S = 60
"""A file so new may be one whose maker has not locked it yet."""


@contextmanager
def scratch(beside: Path) -> Iterator[Path]:
    """A new empty file in the folder of another, for its owner only; at the end whatever is left of it goes away.

    It is locked as long as the process lives that fills it.
    """
    part = beside.with_name(f".{beside.name}.{secrets.token_hex(4)}.part")
    opened = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    try:
        with suppress(OSError):  # not every disk has locks
            fcntl.flock(opened, fcntl.LOCK_EX | fcntl.LOCK_NB)
        yield part
    finally:
        os.close(opened)
        _remove(part)


def remove_left(folder: Path, name: re.Pattern[str]) -> None:
    """Remove what was to become a file of such a name and whose process is gone; what cannot be removed stays."""
    for part in folder.iterdir():
        found = _PART.fullmatch(part.name)
        if found is not None and name.fullmatch(found[1]):
            with suppress(OSError):
                if _is_left(part):
                    _remove(part)


def _is_left(part: Path) -> bool:
    """Raises OSError where another process fills it."""
    opened = os.open(part, os.O_RDONLY)
    try:
        fcntl.flock(opened, fcntl.LOCK_EX | fcntl.LOCK_NB)
        return time.time() - os.fstat(opened).st_mtime > _NEW_S
    finally:
        os.close(opened)


def _remove(part: Path) -> None:
    for end in ("", *BESIDE):
        part.with_name(f"{part.name}{end}").unlink(missing_ok=True)
