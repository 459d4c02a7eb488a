"""The faults found so far in one file, without those that only follow from another."""

from collections.abc import Callable, Iterable, Mapping
from typing import Any, TypeVar

from solver.errors import Fault, InputError

MOST_FAULTS = 1_000
"""Reading stops here: a file with more is not a day or plan file, and a hostile one must not keep us busy."""

_T = TypeVar("_T")


class RefusedError(Exception):
    """The value read has no use; its faults are recorded."""


class Faults:
    """Collects faults. Raises InputError by itself once there are MOST_FAULTS."""

    def __init__(self) -> None:
        self.found: list[Fault] = []
        self._places: set[str] = set()

    def add(self, where: str, what: str, right: str) -> None:
        if len(self.found) == MOST_FAULTS:
            stop = Fault("", f"reading stopped after {MOST_FAULTS:,} faults", "put these right and read the file again")
            raise InputError([*self.found, stop])
        self.found.append(Fault(where, what, right))
        self._places.add(where)

    def excuse(self, where: str) -> None:
        """Nothing was read at this place, for a fault recorded at another: what a class says of it only follows."""
        self._places.add(where)

    def merge(self, where: str, faults: Iterable[Fault]) -> None:
        """Add what a class found in itself, seen from ``where``, except at places already known to be wrong."""
        known = frozenset(self._places)
        for fault in faults:
            outer = fault.under(where)
            if known.isdisjoint(_places_above(outer.where)):
                self.add(outer.where, outer.what, outer.right)

    def build(
        self,
        where: str,
        make: Callable[..., _T],
        values: Mapping[str, Any],
        harmless: Mapping[str, Callable[[Any], Any]],
    ) -> _T:
        """Build ``make(**values)``; each value it refuses is recorded and replaced by what ``harmless`` makes of it."""
        try:
            return make(**values)
        except InputError as error:
            self.merge(where, error.faults)
            refused = {_first_key(fault.where) for fault in error.faults}
            return make(**{key: harmless[key](value) if key in refused else value for key, value in values.items()})

    def refuse_if_any(self) -> None:
        if self.found:
            raise InputError(self.found)


def _places_above(where: str) -> list[str]:
    """The place itself and everything around it: ``a``, ``a[0]`` and ``a[0].b`` for ``a[0].b``."""
    return [where[:i] for i, char in enumerate(where) if char in ".["] + [where]


def _first_key(where: str) -> str:
    return where.split(".")[0].split("[")[0]
