"""Kinds of JSON values: what each is called, and how one is read or refused."""

import json
import re
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, Generic, TypeVar

from solver.checks import interval as interval_faults
from solver.clock import Interval, overlapping, parse_clock
from solver.reading.faults import Faults, RefusedError
from solver.reading.json_text import OddNumber, RepeatedKeys

_T = TypeVar("_T")
_D = TypeVar("_D")
_ISO_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")


@dataclass(frozen=True, slots=True)
class Kind(Generic[_T]):
    """``wanted`` completes the sentence "give …"; ``read(faults, where, value)`` raises RefusedError once recorded."""

    wanted: str
    read: Callable[[Faults, str, object], _T]

    def refuse(self, faults: Faults, where: str, value: object) -> RefusedError:
        return refused(faults, where, value, self.wanted)


def refused(faults: Faults, where: str, value: object, wanted: str) -> RefusedError:
    """Record that the value is not what is wanted; the exception to raise."""
    faults.add(where, f"{described(value)} stands here", f"give {wanted}")
    return RefusedError()


def described(value: object) -> str:
    """A value of a file in a few words."""
    if isinstance(value, dict):
        return "an object"
    if isinstance(value, list):
        return "a list"
    if isinstance(value, OddNumber):
        return _cut(value.text)
    return _cut(json.dumps(value, ensure_ascii=False))


def _cut(text: str) -> str:
    return text if len(text) <= 60 else f"{text[:60]}…"


def check_text(faults: Faults, where: str, text: str) -> None:
    """Refuse half characters, which JSON can spell but UTF-8 cannot hold."""
    if not text.isascii() and any("\ud800" <= char <= "\udfff" for char in text):
        faults.add(where, "the text holds half a character (a lone surrogate)", "give whole characters")
        raise RefusedError


def _text(faults: Faults, where: str, value: object) -> str:
    if not isinstance(value, str):
        raise TEXT.refuse(faults, where, value)
    check_text(faults, where, value)
    return value


def _whole(faults: Faults, where: str, value: object) -> int:
    if not isinstance(value, int) or isinstance(value, bool):
        raise WHOLE.refuse(faults, where, value)
    return value


def _flag(faults: Faults, where: str, value: object) -> bool:
    if not isinstance(value, bool):
        raise FLAG.refuse(faults, where, value)
    return value


def _clock(faults: Faults, where: str, value: object) -> int:
    minute = parse_clock(value) if isinstance(value, str) else None
    if minute is None:
        raise CLOCK.refuse(faults, where, value)
    return minute


def _date(faults: Faults, where: str, value: object) -> date:
    if isinstance(value, str) and _ISO_DATE.fullmatch(value):
        try:
            return date.fromisoformat(value)
        except ValueError:
            pass
    raise DATE.refuse(faults, where, value)


def _interval(faults: Faults, where: str, value: object) -> Interval:
    if not isinstance(value, list) or len(value) != 2:
        raise INTERVAL.refuse(faults, where, value)
    start, end = (read_or(faults, f"{where}[{i}]", CLOCK, minute, None) for i, minute in enumerate(value))
    if start is None or end is None:
        raise RefusedError
    read = Interval(start, end)
    wrong = interval_faults(where, read)
    faults.merge("", wrong)
    if wrong:
        raise RefusedError
    return read


def _intervals(faults: Faults, where: str, value: object) -> tuple[Interval, ...]:
    read = _INTERVAL_LIST.read(faults, where, value)
    assert isinstance(value, list)
    if len(read) == len(value):
        return read
    if overlapping(read):
        faults.add(where, "two of the intervals overlap", "intervals of a list may touch but not overlap")
    raise RefusedError


TEXT = Kind("a text", _text)
WHOLE = Kind("a whole number", _whole)
FLAG = Kind("true or false", _flag)
CLOCK = Kind('a time "HH:MM" from "00:00" to "24:00"', _clock)
DATE = Kind('a date "YYYY-MM-DD"', _date)
INTERVAL = Kind('an interval ["HH:MM", "HH:MM"]', _interval)


def read_or(faults: Faults, where: str, kind: Kind[_T], value: object, stand_in: _D) -> _T | _D:
    """The value read, or the stand-in where it is refused."""
    try:
        return kind.read(faults, where, value)
    except RefusedError:
        return stand_in


def one_of(words: Collection[_T]) -> Kind[_T]:
    """One word of a fixed set."""
    wanted = " or ".join(f'"{word}"' for word in words)

    def read(faults: Faults, where: str, value: object) -> _T:
        for word in words:
            if isinstance(value, str) and value == word:
                return word
        raise refused(faults, where, value, wanted)

    return Kind(wanted, read)


def nullable(kind: Kind[_T]) -> Kind[_T | None]:
    """The kind, or null."""
    wanted = f"{kind.wanted} or null"

    def read(faults: Faults, where: str, value: object) -> _T | None:
        return None if value is None else kind.read(faults, where, value)

    return Kind(wanted, read)


def list_of(kind: Kind[_T], stand_in: Callable[[], _T] | None = None) -> Kind[tuple[_T, ...]]:
    """A list of the kind; an entry that is refused becomes ``stand_in()``, or is dropped where there is none."""
    wanted = f"a list, each entry {kind.wanted}"

    def read(faults: Faults, where: str, value: object) -> tuple[_T, ...]:
        if not isinstance(value, list):
            raise refused(faults, where, value, wanted)
        entries: list[_T] = []
        for i, entry in enumerate(value):
            try:
                entries.append(kind.read(faults, f"{where}[{i}]", entry))
            except RefusedError:
                if stand_in is not None:
                    entries.append(stand_in())
        return tuple(entries)

    return Kind(wanted, read)


def object_of(keys: str, kind: Kind[_T], stand_in: Callable[[], _T]) -> Kind[Mapping[str, _T]]:
    """An object whose keys are the file's own words, and whose values are of the kind."""
    wanted = f"an object {{{keys}: {kind.wanted}}}"

    def read(faults: Faults, where: str, value: object) -> Mapping[str, _T]:
        entries: dict[str, _T] = {}
        for key, entry in as_object(faults, where, value, wanted).items():
            try:
                check_text(faults, f"{where}.{key}", key)
                entries[key] = kind.read(faults, f"{where}.{key}", entry)
            except RefusedError:
                entries[key] = stand_in()
        return entries

    return Kind(wanted, read)


def as_object(faults: Faults, where: str, value: object, wanted: str) -> dict[str, Any]:
    """The value as an object, its repeated keys recorded."""
    if not isinstance(value, dict):
        raise refused(faults, where, value, wanted)
    for key in value.repeated if isinstance(value, RepeatedKeys) else ():
        faults.add(f"{where}.{key}" if where else key, "the key is given more than once", "give each key once")
    return value


_INTERVAL_LIST = list_of(INTERVAL)
INTERVALS = Kind(_INTERVAL_LIST.wanted, _intervals)
