"""What is left of a resource, minute by minute, against counting."""

from hypothesis import given
from hypothesis import strategies as st

from solver.masks.bits import minutes_of, runs, span
from solver.masks.occupancy import Headroom, Occupancy

takings = st.lists(st.tuples(st.integers(0, 50), st.integers(1, 20), st.integers(1, 3)), max_size=6)


@given(takings, st.integers(1, 4), st.integers(1, 8))
def test_headroom_is_what_was_not_taken(taken: list[tuple[int, int, int]], n: int, minutes: int) -> None:
    left = Headroom(20)
    for start, length, count in taken:
        left.take(span(start, start + length), count)
    enough = {t for t in range(100) if 20 - sum(c for s, m, c in taken if s <= t < s + m) >= n}
    assert {t for t in minutes_of(left.at_least(n)) if t < 100} == enough
    assert left.runs(n, minutes) == runs(left.at_least(n), minutes)


@given(takings, st.tuples(st.integers(0, 50), st.integers(1, 20), st.integers(1, 3)))
def test_what_is_given_back_was_never_taken(taken: list[tuple[int, int, int]], last: tuple[int, int, int]) -> None:
    left, other = Headroom(30), Headroom(30)
    for start, length, count in taken:
        left.take(span(start, start + length), count)
        other.take(span(start, start + length), count)
    start, length, count = last
    left.take(span(start, start + length), count)
    left.give(span(start, start + length), count)
    assert [left.at_least(n) for n in range(32)] == [other.at_least(n) for n in range(32)]


def test_holders_come_and_go_in_any_order() -> None:
    bay = Occupancy()
    whole = bay.free
    bay.add("V1", span(10, 20))
    bay.add("V2", span(15, 30))
    assert bay.runs(5) == runs(whole & ~span(10, 30), 5)
    bay.remove("V1")
    assert bay.free == whole & ~span(15, 30)
    bay.remove("V2")
    bay.remove("V2")
    assert bay.free == whole
