"""What stands in the way of the items that a visit needs."""

from collections.abc import Sequence

from solver.clinic import Applicator
from solver.clock import Interval
from solver.masks.bits import span
from solver.masks.items import PoolUse, choose_items
from solver.masks.ledger import Ledger
from solver.masks.shapes import Spaced
from solver.offering.obstacle import Obstacle, Obstacles, held, in_vain, weight
from solver.visits import FixedPart, Visit


def blocked_items(
    ledger: Ledger, visit: Visit, fixed: Sequence[FixedPart], start: int, spaced: Spaced
) -> list[Obstacle]:
    """For each pool without enough items, the obstacles of those with the fewest, each held all through a stay."""
    found: list[Obstacle] = []
    for i, part in enumerate(visit.parts):
        begin = start + spaced.offsets[i]
        for pool_id in set(fixed[i].items or ()) - set(part.applicators):
            text = f"items of {pool_id} are fixed for part {part.id}, which needs none"
            found.append(in_vain("fixed", pool_id, Interval(begin, begin + part.minutes), text))
    stay_of = {i: number for number, stay in enumerate(visit.stays) for i in stay}
    for pool_id in dict.fromkeys(pool for part in visit.parts for pool in part.applicators):
        pool = ledger.day.applicator_by_id[pool_id]
        uses = []
        for i, part in enumerate(visit.parts):
            if pool_id in part.applicators:
                items, begin = fixed[i].items, start + spaced.offsets[i]
                named = None if items is None else items.get(pool_id, ())
                uses.append(PoolUse(stay_of[i], begin, begin + part.minutes, part.applicators[pool_id], named))
        found += _of_pool(ledger, pool, uses)
    return found


def _of_pool(ledger: Ledger, pool: Applicator, uses: Sequence[PoolUse]) -> list[Obstacle]:
    found: list[Obstacle] = []
    for use in uses:
        wanted, there = Interval(use.start, use.end), len(pool.items) if use.named is None else len(use.named)
        if there < use.need or (use.named is not None and there > use.need):
            what = "there are" if use.named is None else "fixed are"
            text = f"{use.need} of {pool.name} are wanted {wanted}, but {what} {there}"
            found.append(in_vain("applicator" if use.named is None else "fixed", pool.id, wanted, text))
    if found:
        return found

    def free(item: str, start: int, end: int) -> bool:
        mask = span(start, end)
        return ledger.items[item].free & mask == mask

    if choose_items(pool, uses, free) is not None:
        return []
    for stay in dict.fromkeys(use.stay for use in uses):
        mine = [use for use in uses if use.stay == stay]
        wanted = Interval(mine[0].start, mine[-1].end)
        named = [item for use in mine for item in use.named or ()]

        def obstacles(item: str, wanted: Interval = wanted) -> Obstacles:
            return held("applicator", item, f"{item} of {pool.name}", ledger.items[item], wanted)

        ranked = sorted(pool.items, key=lambda item: (item not in named, weight(obstacles(item))))
        for item in ranked[: max(len(set(named)), *(use.need for use in mine))]:
            found += obstacles(item)
    return found
