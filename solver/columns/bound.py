"""A proved lower bound of one aim, given what the aims before it have reached.

Every right plan picks at most one column for each visit, so no plan is better than the programme's least sum. Columns
that cost more than the best plan known are left out: a plan that used one would not be better than that plan.
"""

from collections.abc import Mapping
from math import ceil, inf

from solver.columns.placements import Placements
from solver.columns.rows import Rows
from solver.masks.ledger import Ledger
from solver.names import AimName
from solver.problem import Day
from solver.progress import StopRequest

MOST_COLUMNS = 12_000
"""Beyond, building the programme takes longer than its bound is worth."""
SLACK = 1e-4
"""What a bound may lose to rounding in the linear solver."""


def column_bound(day: Day, aim: AimName, held: Mapping[AimName, int], best: int, should_stop: StopRequest) -> int:
    """The least score of the aim for plans that keep the ``held`` scores, never above ``best``; 0 where not known.

    ``held``: the scores of the aims before; ``best``: the aim's score in the best plan known.
    """
    by_name = any(name in ("therapist", "stable") for name in (aim, *held))
    placements = Placements(day, Ledger(day), {**held, aim: best}, by_name=by_name)
    if placements.mostly_apart:
        return 0
    rows = Rows(day, placements.crews, aim, held)
    for placement in placements:
        if len(rows.programme.costs) > MOST_COLUMNS or should_stop():
            return 0
        rows.add(placement)
    rows.add_breaks(placements.breaks())
    rows.close()
    least = rows.programme.solve(should_stop)
    if least is None:
        return 0
    if least == inf:
        return best
    whole = rows.common_divisor or 1
    return max(0, min(best, ceil((least + rows.constant - SLACK) / whole) * whole))
