"""Interval partitioning: the fewest channels that hold some intervals is the most of them that overlap.

Source: Kleinberg & Tardos, Algorithm Design, §4.1; the ten intervals are a lecture's worked example, which needs 3.
"""

from collections.abc import Sequence
from itertools import combinations

import pytest

from solver.clinic import Applicator
from solver.clock import Interval
from solver.search import solve
from solver.verify import verify
from tests.builders import (
    a_channel,
    a_day,
    a_part,
    a_place,
    a_therapist,
    a_unit,
    a_visit,
    an_applicator,
    unattended,
)

INTERVALS = ((1, 3), (1, 5), (1, 2), (4, 6), (4, 8), (7, 10), (7, 11), (9, 13), (12, 14), (12, 15))
PUBLISHED_DEPTH = 3
UNIT_OF_TIME_MIN = 10


def test_three_channels_hold_all_ten_intervals() -> None:
    assert left_out_on_channels(PUBLISHED_DEPTH) == 0


def test_two_channels_leave_out_as_few_as_can_be() -> None:
    # Three share a point just after 1, 7 and 12, and no interval is in two of these crowds: at least three must go.
    assert fewest_left_out(INTERVALS, PUBLISHED_DEPTH - 1) == 3
    assert left_out_on_channels(PUBLISHED_DEPTH - 1) == 3


@pytest.mark.parametrize(("units_of_time", "needed"), [(1, 3), (2, 4)])
def test_with_cleaning_an_interval_counts_as_longer_by_the_turnaround(units_of_time: int, needed: int) -> None:
    # Derived from the example above: an item is away for its interval and for the turnaround after it.
    longer = [(start, end + units_of_time) for start, end in INTERVALS]
    assert depth(longer) == needed
    assert left_out_on_items(needed, units_of_time) == 0
    assert left_out_on_items(needed - 1, units_of_time) == fewest_left_out(longer, needed - 1) > 0


def test_the_depth_of_the_example_is_as_published() -> None:
    assert depth(INTERVALS) == PUBLISHED_DEPTH


def depth(intervals: Sequence[tuple[int, int]]) -> int:
    """The most intervals that share a point; each is open at its start, as the example writes them."""
    return max(sum(start < point <= end for start, end in intervals) for _, point in intervals)


def fewest_left_out(intervals: Sequence[tuple[int, int]], channels: int) -> int:
    """By trying every subset, the largest first."""
    return next(
        len(intervals) - kept
        for kept in range(len(intervals), 0, -1)
        if any(depth(some) <= channels for some in combinations(intervals, kept))
    )


def left_out_on_channels(channels: int) -> int:
    return _left_out(channels, pools=())


def left_out_on_items(items: int, turnaround: int) -> int:
    pool = an_applicator("sets", items, turnaround_min=turnaround * UNIT_OF_TIME_MIN)
    return _left_out(len(INTERVALS), pools=(pool,))


def _left_out(channels: int, pools: Sequence[Applicator]) -> int:
    """How many visits the proved best plan leaves out, each visit being free for its own interval only."""
    enough = len(INTERVALS)
    visits = (
        a_visit(
            a_part(
                unattended((end - start) * UNIT_OF_TIME_MIN),
                id="p1",
                applicators={pool.id: 1 for pool in pools},
            ),
            id=f"I{i}",
            free=Interval(start * UNIT_OF_TIME_MIN, end * UNIT_OF_TIME_MIN),
        )
        for i, (start, end) in enumerate(INTERVALS)
    )
    day = a_day(
        *visits,
        open=0,
        close="24:00",
        step_min=5,
        units=(a_unit(channels=[a_channel(f"s{c}") for c in range(channels)], patients_at_once=enough),),
        applicators=pools,
        places=(a_place(bays=[f"F{b}" for b in range(enough)]),),
        staff=(a_therapist(watch_free=enough, watch_busy=enough),),
        aims=("placed",),
    )
    plan = solve(day, seconds=20.0)
    assert plan.status == "optimal"
    assert verify(day, plan) == []
    return len(plan.left_out)
