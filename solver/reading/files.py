"""Files in and out: read with a limit, written whole or not at all."""

import json
import os
import secrets
import stat
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from solver.errors import Fault, InputError, UnreadableError
from solver.reading.json_text import LARGEST_FILE

_REASONS = {
    FileNotFoundError: ("there is no such file", "give the path of a file that exists"),
    NotADirectoryError: ("there is no such file", "give the path of a file that exists"),
    PermissionError: ("this file may not be read", "ask for permission to read it"),
}


def read_bytes(path: str | os.PathLike[str]) -> bytes:
    """The content of a plain file, at most one byte more than LARGEST_FILE. Raises UnreadableError."""
    try:
        # Without O_NONBLOCK, opening a pipe that nobody writes to would wait for ever.
        descriptor = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
        try:
            mode = os.fstat(descriptor).st_mode
            if not stat.S_ISREG(mode):
                raise _unreadable(path, f"this is {_not_a_file(mode)}", "give the path of a plain file")
            with os.fdopen(descriptor, "rb", closefd=False) as file:
                return file.read(LARGEST_FILE + 1)
        finally:
            os.close(descriptor)
    except OSError as error:
        what, right = _REASONS.get(type(error), (_plain(error), "give the path of a file that can be read"))
        raise _unreadable(path, what, right) from None
    except ValueError:
        raise _unreadable(path, "this is not a path", "give the path of a file that exists") from None


def write_json(path: str | os.PathLike[str], document: Mapping[str, Any]) -> None:
    """Write the document as JSON: to a new file beside ``path``, which then takes its place. Raises InputError."""
    content = (json.dumps(document, ensure_ascii=False, indent=1, allow_nan=False) + "\n").encode()
    try:
        check_target(path)
        _replace(Path(os.path.realpath(path)), content)
    except OSError as error:
        what = f"the file cannot be written ({_plain(error)})"
        raise _unwritable(path, what, "give a path where a file can be written") from None


def check_target(path: str | os.PathLike[str]) -> None:
    """Raise InputError where it is plain that no file can be written at the path."""
    try:
        target = Path(os.path.realpath(path))
        if target.is_dir() or (target.exists() and not target.is_file()):
            raise _unwritable(path, "this is not a plain file", "give the path of a file to write")
        if not target.parent.is_dir():
            raise _unwritable(path, "its folder does not exist", "give a path in a folder that exists")
        if not os.access(target.parent, os.W_OK | os.X_OK):
            raise _unwritable(path, "its folder may not be written to", "give a path in a folder you may write to")
    except OSError as error:
        raise _unwritable(path, _plain(error), "give the path of a file to write") from None
    except ValueError:
        raise _unwritable(path, "this is not a path", "give the path of a file to write") from None


def _replace(target: Path, content: bytes) -> None:
    beside = target.with_name(f".{secrets.token_hex(8)}.part")
    descriptor = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o666)
    try:
        with os.fdopen(descriptor, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        beside.replace(target)
    except BaseException:
        beside.unlink(missing_ok=True)
        raise


def _unreadable(path: str | os.PathLike[str], what: str, right: str) -> UnreadableError:
    return UnreadableError([Fault(os.fspath(path), what, right)])


def _unwritable(path: str | os.PathLike[str], what: str, right: str) -> InputError:
    return InputError([Fault(os.fspath(path), what, right)])


def _not_a_file(mode: int) -> str:
    if stat.S_ISDIR(mode):
        return "a folder"
    return "a pipe" if stat.S_ISFIFO(mode) else "a device or socket"


def _plain(error: OSError) -> str:
    return (error.strerror or "it failed").lower()
