"""What is taken beyond what is left, as what happened may have done: it is not free before all is given back."""

from solver.masks.bits import span
from solver.masks.occupancy import Headroom

NINE = span(540, 550)


def test_what_is_overdrawn_must_be_given_back_first() -> None:
    watch = Headroom(2)
    for _ in range(4):
        watch.take(NINE)
    left = []
    for _ in range(4):
        left.append(max(n for n in range(3) if NINE & watch.at_least(n) == NINE))
        watch.give(NINE)
    assert left == [0, 0, 0, 1]
    assert NINE & watch.at_least(2) == NINE
    assert watch.at_least(3) == 0
    assert watch.runs(2, 10) >> 540 & 1
