"""Which items of one pool the parts of a visit hold: every choice that could matter is tried."""

from collections.abc import Callable, Iterator, Sequence
from itertools import islice
from typing import NamedTuple

from solver.clinic import Applicator


class PoolUse(NamedTuple):
    """A part that needs items of the pool: its stay, its minutes, how many, and which ones where that is fixed."""

    stay: int
    start: int
    end: int
    need: int
    named: tuple[str, ...] | None


class _Held(NamedTuple):
    """An item that the visit has had: in which stay last, from when on in that stay, and until when."""

    stay: int
    since: int
    end: int


def choose_items(
    pool: Applicator, uses: Sequence[PoolUse], free: Callable[[str, int, int], bool], lenient: bool = False
) -> list[tuple[str, ...]] | None:
    """The items for each use, in order of time, or None where there are too few.

    Within a stay an item is held from its first use to its last, so it must be free in between; another stay of the
    visit may have it only after its turnaround. ``free(item, start, end)`` says whether nobody else stands in the way.
    Items that are free at the same times are as good as each other, and only one of them is tried.
    ``lenient``: the rule is set aside; where there are too few, fewer are given.
    """
    if len(uses) == 1 and not lenient:
        return _for_one(pool, uses[0], free)
    told_apart = {item for use in uses for item in use.named or ()}
    spans = {
        (one.start, other.end) for i, one in enumerate(uses) for other in uses[i:] if one.stay == other.stay or lenient
    }
    times = {item: tuple(free(item, *minutes) for minutes in sorted(spans)) for item in pool.items}

    def since(item: str, use: PoolUse, held: dict[str, _Held]) -> int | None:
        """From when the item would be held for the use; None where it cannot be had."""
        before, start = held.get(item), use.start
        if before is not None and before.stay == use.stay:
            start = before.since
        elif before is not None and before.end + pool.turnaround_min > use.start and not lenient:
            return None
        return start if free(item, start, use.end) else None

    def walk(k: int, held: dict[str, _Held]) -> list[tuple[str, ...]] | None:
        if k == len(uses):
            return []
        use = uses[k]
        begun: dict[str, int] = {}
        alike: dict[object, list[str]] = {}
        for item in pool.items if use.named is None else use.named:
            start = since(item, use, held)
            if start is not None:
                begun[item] = start
                alike.setdefault((times[item], held.get(item), item in told_apart and item), []).append(item)
        # Those already held first: the shortest way to hold few.
        groups = sorted(alike.values(), key=lambda group: begun[group[0]] == use.start)
        for chosen in _picks(groups, use.need):
            further = walk(k + 1, {**held, **{item: _Held(use.stay, begun[item], use.end) for item in chosen}})
            if further is not None:
                return [chosen, *further]
        if lenient and len(begun) < use.need:
            return [tuple(begun), *(walk(k + 1, held) or [])]
        return None

    return walk(0, {})


def _for_one(pool: Applicator, use: PoolUse, free: Callable[[str, int, int], bool]) -> list[tuple[str, ...]] | None:
    """Where one part needs the pool, one free item is as good as another."""
    able = (item for item in (pool.items if use.named is None else use.named) if free(item, use.start, use.end))
    chosen = tuple(islice(able, use.need))
    return [chosen] if len(chosen) == use.need else None


def _picks(groups: Sequence[list[str]], need: int) -> Iterator[tuple[str, ...]]:
    """Every way to take so many, told apart by how many of each group; most of the first groups first."""
    if not groups:
        if need == 0:
            yield ()
        return
    first, *rest = groups
    for n in range(min(len(first), need), -1, -1):
        for further in _picks(rest, need - n):
            yield (*first[:n], *further)
