"""An object with a fixed set of keys, read key by key."""

from difflib import get_close_matches
from typing import TypeVar

from solver.reading.faults import Faults, RefusedError
from solver.reading.kinds import Kind, as_object, described

_T = TypeVar("_T")
_D = TypeVar("_D")
_LONGEST_KEY = 60


class Keyed:
    """Ask for every key the object may have, then ``close``: keys never asked for are unknown, and so are faults."""

    def __init__(self, faults: Faults, where: str, value: object, wanted: str) -> None:
        self.faults = faults
        self.where = where
        self._object = as_object(faults, where, value, wanted)
        self._asked: list[str] = []
        self._missing: dict[str, str] = {}

    def has(self, key: str) -> bool:
        return key in self._object

    def at(self, key: str) -> str:
        """Where the key's value stands in the file."""
        return f"{self.where}.{key}" if self.where else key

    def must(self, key: str, kind: Kind[_T], stand_in: _D) -> _T | _D:
        """The value of a key that has to be there; the stand-in where it is missing or refused."""
        self._asked.append(key)
        if key not in self._object:
            self._missing[key] = kind.wanted
            return stand_in
        return self._read(key, kind, stand_in)

    def may(self, key: str, kind: Kind[_T], default: _D) -> _T | _D:
        """The value of a key that may be left out; the default where it is, or where the value is refused."""
        self._asked.append(key)
        return self._read(key, kind, default) if key in self._object else default

    def same(self, key: str, word: str) -> None:
        """A key that has to be there with exactly this text."""
        self._asked.append(key)
        if key not in self._object:
            self._missing[key] = f'"{word}"'
        elif self._object[key] != word:
            self.faults.add(self.at(key), f"{described(self._object[key])} stands here", f'give "{word}"')

    def close(self) -> None:
        """Record unknown and missing keys; a misspelt key is both, and is recorded once, where it stands."""
        unknown = [key for key in self._object if key not in self._asked]
        for key in unknown:
            shown = key if len(key) <= _LONGEST_KEY else f"{key[:_LONGEST_KEY]}…"
            near = get_close_matches(shown, [*self._missing, *self._asked], 1) if len(unknown) <= 20 else []
            right = f"write {near[0]!r}" if near else f"the keys here are {', '.join(self._asked)}"
            self.faults.add(self.at(shown), "this key is unknown", right)
            if near and near[0] in self._missing:
                del self._missing[near[0]]
                self.faults.excuse(self.at(near[0]))
        for key, wanted in self._missing.items():
            self.faults.add(self.at(key), "the key is missing", f"give {wanted}")

    def _read(self, key: str, kind: Kind[_T], stand_in: _D) -> _T | _D:
        try:
            return kind.read(self.faults, self.at(key), self._object[key])
        except RefusedError:
            return stand_in
