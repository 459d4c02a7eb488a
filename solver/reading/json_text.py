"""Bytes to parsed JSON, keeping what plain parsing would hide: repeated keys, and numbers that are not whole."""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from solver.errors import Fault, UnreadableError

LARGEST_FILE = 4_000_000
"""Bytes: some hundred times a busy clinic's day, and still read in about a second."""

_LONGEST_WHOLE = 18
_BOMS = ((b"\xef\xbb\xbf", "a byte order mark"), (b"\xff\xfe", "UTF-16"), (b"\xfe\xff", "UTF-16"))


@dataclass(frozen=True, slots=True)
class OddNumber:
    """A number that no key takes, as it was written: a fraction, an exponent, NaN, or far too many digits."""

    text: str


class JsonObject(dict[str, Any]):
    """A parsed object that remembers which of its keys were given more than once."""

    def __init__(self, pairs: Sequence[tuple[str, Any]]) -> None:
        super().__init__(pairs)
        self.repeated: tuple[str, ...] = ()
        if len(self) < len(pairs):
            seen: set[str] = set()
            again = {key: None for key, _ in pairs if key in seen or seen.add(key)}  # type: ignore[func-returns-value]
            self.repeated = tuple(again)


def parse_json(content: bytes) -> object:
    """The parsed content. Raises UnreadableError where it is too large, not UTF-8, not JSON or nested too deep."""
    if len(content) > LARGEST_FILE:
        raise _unreadable("the file is too large", f"give a file of at most {LARGEST_FILE:,} bytes")
    for mark, name in _BOMS:
        if content.startswith(mark):
            raise _unreadable(f"the file starts with {name}", "save it as plain UTF-8, without a byte order mark")
    try:
        text = content.decode("utf-8")
    except UnicodeDecodeError as error:
        raise _unreadable(f"byte {error.start + 1} is not UTF-8", "save the file as UTF-8") from None
    if not text.strip():
        raise _unreadable("the file is empty", "give one JSON object")
    try:
        return json.loads(
            text,
            object_pairs_hook=JsonObject,
            parse_int=_whole,
            parse_float=OddNumber,
            parse_constant=OddNumber,
        )
    except json.JSONDecodeError as error:
        where = f"line {error.lineno}, column {error.colno}"
        raise UnreadableError([Fault(where, f"this is not JSON ({error.msg})", "give one JSON object")]) from None
    except RecursionError:
        raise _unreadable("brackets are nested too deep", "a day or plan file nests fewer than ten deep") from None


def _whole(digits: str) -> int | OddNumber:
    return int(digits) if len(digits) <= _LONGEST_WHOLE else OddNumber(digits)


def _unreadable(what: str, right: str) -> UnreadableError:
    return UnreadableError([Fault("", what, right)])
