"""Things that are alike, so that they can be counted: channels that drive the same, bays of a place, items of a pool.

What a fixed visit names is told apart from its like, each a class of its own; all others are named afterwards.
"""

from collections.abc import Iterator, Mapping, Sequence
from itertools import product
from typing import NamedTuple

from solver.clinic import Applicator, Place, Unit
from solver.problem import Day
from solver.visits import Part


class ChannelClass(NamedTuple):
    """Channels of a unit that are alike."""

    drives: frozenset[str]
    ids: tuple[str, ...]


def channel_classes(day: Day, unit: Unit) -> list[ChannelClass]:
    named = {
        id
        for visit in day.visits
        if visit.fixed is not None
        for part in visit.fixed.parts
        if part.unit in (None, unit.id)
        for ids in (part.channels or {}).values()
        for id in ids
    }
    classes: dict[tuple[frozenset[str], str], list[str]] = {}
    for channel in unit.channels:
        alone = channel.id if channel.id in named else ""
        classes.setdefault((frozenset(channel.drives), alone), []).append(channel.id)
    return [ChannelClass(drives, tuple(ids)) for (drives, _), ids in classes.items()]


def bay_classes(day: Day, place: Place) -> list[tuple[str, ...]]:
    named = {part.bay for visit in day.visits if visit.fixed is not None for part in visit.fixed.parts}
    return _split(place.bays, named)


def item_classes(day: Day, pool: Applicator) -> list[tuple[str, ...]]:
    """Each item alone where some stay may name the pool in two parts.

    There the names matter: an item that a stay names again was held all the while, and another one was not.
    """
    if any(visit.same_unit and sum(pool.id in part.applicators for part in visit.parts) > 1 for visit in day.visits):
        return [(item,) for item in pool.items]
    named = {
        id
        for visit in day.visits
        if visit.fixed is not None
        for part in visit.fixed.parts
        for id in (part.items or {}).get(pool.id, ())
    }
    return _split(pool.items, named)


def _split(ids: Sequence[str], named: set[str | None] | set[str]) -> list[tuple[str, ...]]:
    rest = tuple(id for id in ids if id not in named)
    alone: list[tuple[str, ...]] = [(id,) for id in ids if id in named]
    return [rest, *alone] if rest else alone


def channel_patterns(
    part: Part, fixed: Mapping[str, tuple[str, ...]] | None, classes: Sequence[ChannelClass]
) -> dict[tuple[int, ...], dict[str, tuple[int, ...]]]:
    """How many channels of each class the part can take: each way with one split of it over the part's outputs."""
    if fixed is not None:
        ids = [id for names in fixed.values() for id in names]
        wanted = {output: len(names) for output, names in fixed.items()}
        if len(set(ids)) != len(ids) or wanted != dict(part.channels):
            return {}
    splits = [
        [
            (output, counts)
            for counts in _spread(count, [len(c.ids) if output in c.drives else 0 for c in classes])
            if fixed is None or counts == tuple(sum(id in c.ids for id in fixed[output]) for c in classes)
        ]
        for output, count in part.channels.items()
    ]
    patterns: dict[tuple[int, ...], dict[str, tuple[int, ...]]] = {}
    for split in product(*splits):
        total = tuple(sum(counts[k] for _, counts in split) for k in range(len(classes)))
        if all(taken <= len(c.ids) for taken, c in zip(total, classes, strict=True)):
            patterns.setdefault(total, dict(split))
    return patterns


def _spread(count: int, most: Sequence[int]) -> Iterator[tuple[int, ...]]:
    """Every way to write ``count`` as a sum of one number per place, each at most what ``most`` says there."""
    if not most:
        if count == 0:
            yield ()
        return
    for here in range(min(count, most[0]) + 1):
        for rest in _spread(count - here, most[1:]):
            yield (here, *rest)
