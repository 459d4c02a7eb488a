"""Sets of minutes as integers against the same sets as Python sets."""

from hypothesis import given
from hypothesis import strategies as st

from solver.clock import DAY_MIN
from solver.masks.bits import at_least, minutes_of, nearest, runs, span, union

minute_sets = st.sets(st.integers(0, 60))


def mask(minutes: set[int]) -> int:
    return union(1 << minute for minute in minutes)


@given(minute_sets)
def test_minutes_come_back_in_order(minutes: set[int]) -> None:
    assert list(minutes_of(mask(minutes))) == sorted(minutes)


@given(st.integers(-10, DAY_MIN + 10), st.integers(-10, DAY_MIN + 10))
def test_a_span_is_cut_to_the_day(start: int, end: int) -> None:
    assert set(minutes_of(span(start, end))) == set(range(max(0, start), min(DAY_MIN, end)))


@given(minute_sets, st.integers(1, 12))
def test_a_run_begins_where_all_its_minutes_are_free(free: set[int], minutes: int) -> None:
    begins = {t for t in free if all(t + k in free for k in range(minutes))}
    assert set(minutes_of(runs(mask(free), minutes))) == begins


@given(st.lists(minute_sets, max_size=5), st.integers(1, 6))
def test_at_least_counts_the_sets(sets: list[set[int]], n: int) -> None:
    enough = {t for t in range(61) if sum(t in one for one in sets) >= n}
    assert set(minutes_of(at_least([mask(one) for one in sets], n))) == enough


@given(minute_sets, st.integers(0, 60))
def test_nearest_finds_the_closest_on_either_side(minutes: set[int], target: int) -> None:
    before = [t for t in minutes if t < target]
    after = [t for t in minutes if t >= target]
    assert nearest(mask(minutes), target) == [*([max(before)] if before else []), *([min(after)] if after else [])]
