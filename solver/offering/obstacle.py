"""What stands in the way of a visit at one start: a rule, a resource, who holds it and from when to when."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from solver.clock import Interval
from solver.masks.bits import span
from solver.masks.occupancy import Occupancy
from solver.names import RuleName


@dataclass(frozen=True, slots=True, kw_only=True)
class Obstacle:
    """``held_by``: ids of visits; empty where no visit is in the way but the day itself. Minutes from midnight.

    ``start`` to ``end``: when the visits hold the resource, cleaning and moving after it among it; where no visit does,
    the minutes for which it is wanted in vain.
    """

    rule: RuleName
    resource: str
    start: int
    end: int
    held_by: tuple[str, ...] = ()
    text: str


Obstacles = tuple[Obstacle, ...]


def weight(obstacles: Iterable[Obstacle]) -> tuple[int, int, int]:
    """Sorts choices: the fewest obstacles that no visit is to blame for, then the fewest, then the fewest holders."""
    found = list(obstacles)
    return sum(not each.held_by for each in found), len(found), sum(len(each.held_by) for each in found)


def held(rule: RuleName, resource: str, name: str, occupancy: Occupancy, wanted: Interval) -> Obstacles:
    """The obstacle of a resource that visits hold for some of the minutes wanted, if they do."""
    spans = {
        str(holder): _interval(mask)
        for holder, mask in occupancy.holders(span(*wanted)).items()
        if isinstance(holder, str)
    }
    return by_visits(rule, resource, spans, f"{name} is wanted {wanted}") if spans else ()


def by_visits(rule: RuleName, resource: str, spans: dict[str, Interval], what: str) -> Obstacles:
    """One obstacle of all the visits, each given with when it holds the resource."""
    order = sorted(spans, key=lambda id: (spans[id], id))
    start, end = min(each.start for each in spans.values()), max(each.end for each in spans.values())
    told = ", ".join(f"{id} ({spans[id]})" for id in order)
    return (
        Obstacle(
            rule=rule, resource=resource, start=start, end=end, held_by=tuple(order), text=f"{what}, but held: {told}"
        ),
    )


def in_vain(rule: RuleName, resource: str, wanted: Interval, text: str) -> Obstacle:
    """An obstacle that no visit makes."""
    return Obstacle(rule=rule, resource=resource, start=wanted.start, end=wanted.end, text=text)


def merged(obstacles: Iterable[Obstacle]) -> Obstacles:
    """One obstacle for each rule and resource, apart for what visits hold and what the day does not have."""
    groups: dict[tuple[RuleName, str, bool], list[Obstacle]] = {}
    for each in obstacles:
        groups.setdefault((each.rule, each.resource, bool(each.held_by)), []).append(each)
    return tuple(_one(group) for group in groups.values())


def _one(group: Sequence[Obstacle]) -> Obstacle:
    first = group[0]
    if len(group) == 1:
        return first
    return Obstacle(
        rule=first.rule,
        resource=first.resource,
        start=min(each.start for each in group),
        end=max(each.end for each in group),
        held_by=tuple(dict.fromkeys(id for each in group for id in each.held_by)),
        text="; ".join(dict.fromkeys(each.text for each in group)),
    )


def _interval(mask: int) -> Interval:
    return Interval((mask & -mask).bit_length() - 1, mask.bit_length())
