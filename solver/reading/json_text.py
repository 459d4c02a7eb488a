"""Bytes to parsed JSON, keeping what plain parsing would hide: repeated keys, and numbers that are not whole."""

import json
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from solver.errors import Fault, UnreadableError

LARGEST_FILE = 2_000_000
"""Bytes. A day of a thousand visits takes less, and whatever such a file holds is read or refused within a second."""

_LONGEST_WHOLE = 18
_BOMS = ((b"\xef\xbb\xbf", "a byte order mark"), (b"\xff\xfe", "UTF-16"), (b"\xfe\xff", "UTF-16"))


@dataclass(frozen=True, slots=True)
class OddNumber:
    """A number that no key takes, as it was written: a fraction, an exponent, NaN, or far too many digits."""

    text: str


class RepeatedKeys(dict[str, Any]):
    """A parsed object in which some keys were given more than once: ``repeated`` names them."""

    def __init__(self, pairs: Sequence[tuple[str, Any]]) -> None:
        super().__init__(pairs)
        self.repeated = [key for key, times in Counter(key for key, _ in pairs).items() if times > 1]


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
            object_pairs_hook=_object,
            parse_int=_whole,
            parse_float=OddNumber,
            parse_constant=OddNumber,
        )
    except json.JSONDecodeError as error:
        where = f"line {error.lineno}, column {error.colno}"
        raise UnreadableError([Fault(where, f"this is not JSON ({error.msg})", "give one JSON object")]) from None
    except RecursionError:
        raise _unreadable("brackets are nested too deep", "a day or plan file nests fewer than ten deep") from None


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    plain = dict(pairs)
    return plain if len(plain) == len(pairs) else RepeatedKeys(pairs)


def _whole(digits: str) -> int | OddNumber:
    return int(digits) if len(digits) <= _LONGEST_WHOLE else OddNumber(digits)


def _unreadable(what: str, right: str) -> UnreadableError:
    return UnreadableError([Fault("", what, right)])
