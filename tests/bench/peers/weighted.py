"""From a weighted sum of aims back to the aims: scores of a solution and what a bound of the sum says of each."""

from collections.abc import Iterable, Mapping

from solver.names import AimName
from tests.bench.peers.time_indexed import TimeIndexed


def scores_of(model: TimeIndexed, chosen: Iterable[int]) -> dict[AimName, int]:
    """The scores when the booleans in ``chosen`` are true."""
    true = set(chosen)
    return {aim: sum(cost for boolean, cost in costs.items() if boolean in true) for aim, costs in model.costs.items()}


def bounds_of(weights: Mapping[AimName, int], bound: int, scores: Mapping[AimName, int]) -> dict[AimName, int]:
    """What ``bound`` on the weighted sum says of each aim, given that those before it keep their scores."""
    bounds: dict[AimName, int] = {}
    left = max(0, bound)
    for aim, weight in weights.items():
        bounds[aim] = min(left // weight, scores[aim])
        left = left - bounds[aim] * weight if bounds[aim] == scores[aim] else 0
    return bounds


def weighted_costs(model: TimeIndexed) -> dict[int, int]:
    """What each boolean costs in the weighted sum."""
    weights, sums = model.weights(), dict[int, int]()
    for aim, costs in model.costs.items():
        for boolean, cost in costs.items():
            sums[boolean] = sums.get(boolean, 0) + weights[aim] * cost
    return sums
