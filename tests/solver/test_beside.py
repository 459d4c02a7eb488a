"""Rounds of annealing: where each begins and ends."""

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from solver.beside import rounds


@given(first=st.floats(0.01, 50), seconds=st.floats(0.01, 500))
def test_rounds_follow_each_other_to_the_end_and_none_is_shorter_than_the_one_before(
    first: float, seconds: float
) -> None:
    found = list(rounds(first, seconds))
    assert (found[0][0], found[-1][1]) == (0.0, seconds)
    assert all(until == since for (_, until), (since, _) in pairwise(found))
    lengths = [until - since for since, until in found]
    assert lengths[0] >= min(first, seconds)
    assert all(2 * early <= late * (1 + 1e-9) for early, late in pairwise(lengths[:-1]))
    assert all(early <= late * (1 + 1e-9) for early, late in pairwise(lengths))


def test_each_round_is_twice_as_long_as_the_one_before() -> None:
    assert list(rounds(2.0, 30.0)) == [(0.0, 2.0), (2.0, 6.0), (6.0, 14.0), (14.0, 30.0)]
    assert list(rounds(2.0, 20.0)) == [(0.0, 2.0), (2.0, 6.0), (6.0, 20.0)]
