"""Choices of names, those that make no difference to anybody still to come left out."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import combinations, product
from typing import TypeVar

Names = Mapping[str, tuple[str, ...]]

Held = Mapping[str, int]
"""The minutes for which each thing is taken, what must lie between two holders among them."""

Way = TypeVar("Way")


def distinct(
    ways: Iterable[Way],
    held: Callable[[Way], Held],
    kinds: Mapping[str, str],
    free: Mapping[str, int],
    window: int,
) -> Iterator[Way]:
    """The first of all ways that leave the same free within the window.

    ``kinds``: things of one kind serve the same needs; ``free``: the minutes at which each is free before.
    """
    seen: set[tuple[tuple[str, int, int], ...]] = set()
    for way in ways:
        taken = ((id, mask & free[id] & window) for id, mask in held(way).items())
        left = tuple(sorted((kinds[id], free[id] & window, mask) for id, mask in taken if mask))
        if left not in seen:
            seen.add(left)
            yield way


def selections(able: Mapping[str, Sequence[str]], wanted: Mapping[str, int]) -> Iterator[Names]:
    """Every choice of so many different ids for each key, no id under two keys."""
    for chosen in product(*(combinations(able[key], count) for key, count in wanted.items())):
        ids = [id for group in chosen for id in group]
        if len(ids) == len(set(ids)):
            yield dict(zip(wanted, chosen, strict=True))
