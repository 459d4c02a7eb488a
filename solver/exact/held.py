"""An interval of the exact model during which some of a resource is held."""

from collections.abc import Iterable
from typing import NamedTuple

from ortools.sat.python import cp_model


class Held(NamedTuple):
    """``owner``: holds of one owner never overlap; without one, nothing is known of that."""

    interval: cp_model.IntervalVar
    demand: cp_model.LinearExprT
    owner: str = ""


def most_at_once(held: Iterable[Held]) -> int | None:
    """More than this is never held at once; None where demands are variables."""
    alone, owned = 0, dict[str, int]()
    for one in held:
        if not isinstance(one.demand, int):
            return None
        if one.owner:
            owned[one.owner] = max(owned.get(one.owner, 0), one.demand)
        else:
            alone += one.demand
    return alone + sum(owned.values())
