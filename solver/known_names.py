"""Names that people know: bays, channels and items of a plan get back the names of another plan, where they can.

Things that are alike may trade names, and no aim sees it. But whoever was told of one bay is not to be led to another
for nothing. What holds two things that are alike, and whatever it meets, is a chain (the Kempe chain of graph
colouring): with both names exchanged along a whole chain the plan is as right as before.
"""

from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from solver.named_holds import Held, Spot, held_alike
from solver.problem import Day
from solver.schedule import PlacedPart, PlacedVisit, Plan
from solver.visits import FixedPart

AS_BEFORE = 1_000
"""What a known name counts for a visit that is when and on which unit it was; for any other it counts 1."""


@dataclass(slots=True)
class _Hold:
    """``name``: by now. ``known``: how often each name stands at the same spots of the other plan."""

    held: Held
    name: str
    known: Counter[str]
    weight: int
    fixed: bool


def with_known_names(day: Day, plan: Plan, known: Iterable[PlacedVisit]) -> Plan:
    """The plan with bays, channels and items named as in ``known``, wherever an exchange of names gains some.

    Whoever is when and on which unit they were there comes first. Nothing but names changes, and none that is fixed.
    The plan must keep every rule, but for the battery perhaps; then the answer keeps the same ones.
    """
    now = {visit.id: visit for visit in plan.visits}
    before = {visit.id: visit for visit in known if visit.id in now and _part_ids(visit) == _part_ids(now[visit.id])}
    given: dict[Spot, dict[str, str]] = {}
    for names, all_held in held_alike(day, plan) if before else ():
        holds = [_hold(day, held, now, before) for held in all_held]
        _exchange(names, holds)
        for hold in holds:
            for spot in hold.held.spots:
                given.setdefault(spot, {})[hold.held.name] = hold.name
    return replace(plan, visits=tuple(_renamed(visit, given, before.get(visit.id)) for visit in plan.visits))


def _hold(day: Day, held: Held, now: Mapping[str, PlacedVisit], before: Mapping[str, PlacedVisit]) -> _Hold:
    visit = day.visit_by_id[held.spots[0].visit]
    mine, theirs = now[visit.id], before.get(visit.id)
    known: Counter[str] = Counter()
    weight = 0
    if theirs is not None:
        pairs = list(zip(mine.parts, theirs.parts, strict=True))
        known.update(
            name
            for spot in held.spots
            if pairs[spot.part][0].unit == pairs[spot.part][1].unit or spot.kind != "channels"
            for name in _names(pairs[spot.part][1], spot)
        )
        weight = AS_BEFORE if all((a.start, a.unit) == (b.start, b.unit) for a, b in pairs) else 1
    fixed = any(_names(visit.fixed_part(spot.part), spot) for spot in held.spots)
    return _Hold(held, held.name, known, weight, fixed)


def _names(part: PlacedPart | FixedPart, spot: Spot) -> Sequence[str]:
    """What stands at the spot of the part."""
    if spot.kind == "bay":
        return (part.bay,) if part.bay is not None else ()
    named = part.channels if spot.kind == "channels" else part.items
    return () if named is None else named.get(spot.of, ())


def _exchange(names: Collection[str], holds: Sequence[_Hold]) -> None:
    """Along one chain after the other, as long as one gains more known names than it loses."""
    gained = True
    while gained:
        gained = False
        for hold in holds:
            for name in hold.known:
                if name == hold.name or name not in names:
                    continue
                other = {hold.name: name, name: hold.name}
                chain = _chain(hold, [one for one in holds if one.name in other])
                if not any(one.fixed for one in chain) and _gain(chain, other) > 0:
                    for one in chain:
                        one.name = other[one.name]
                    gained = True


def _chain(first: _Hold, holds: Iterable[_Hold]) -> list[_Hold]:
    """What has to trade names with the first: what it meets, what its owner holds as well, and so on from there."""
    chain, rest = [first], [hold for hold in holds if hold is not first]
    for one in chain:
        chain += [hold for hold in rest if _linked(one.held, hold.held)]
        rest = [hold for hold in rest if not _linked(one.held, hold.held)]
    return chain


def _linked(one: Held, other: Held) -> bool:
    return one.owner == other.owner or one.interval.meets(other.interval)


def _gain(chain: Iterable[_Hold], other: Mapping[str, str]) -> int:
    return sum(hold.weight * (hold.known[other[hold.name]] - hold.known[hold.name]) for hold in chain)


def _renamed(visit: PlacedVisit, given: Mapping[Spot, Mapping[str, str]], known: PlacedVisit | None) -> PlacedVisit:
    """Under the given names; in the known order, where these are the known names."""

    def new(number: int, names: Iterable[str], kind: str, of: str = "") -> tuple[str, ...]:
        spot = Spot(visit.id, number, kind, of)
        found = tuple(given.get(spot, {}).get(name, name) for name in names)
        there = _names(known.parts[number], spot) if known is not None else ()
        return tuple(there) if sorted(there) == sorted(found) else found

    parts = tuple(
        replace(
            part,
            bay=new(number, (part.bay,), "bay")[0],
            channels={output: new(number, ids, "channels", output) for output, ids in part.channels.items()},
            items={pool: new(number, ids, "items", pool) for pool, ids in part.items.items()},
        )
        for number, part in enumerate(visit.parts)
    )
    return replace(visit, parts=parts)


def _part_ids(visit: PlacedVisit) -> list[str]:
    return [part.id for part in visit.parts]
