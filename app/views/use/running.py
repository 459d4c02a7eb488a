"""What is worked out in a process of its own, as a page follows it."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Running:
    """``percent`` of the work is done."""

    done: int
    of: int
    percent: int
    cancelling: bool


def running(done: int, of: int, *, cancelling: bool) -> Running:
    return Running(done, of, 100 * done // of, cancelling)
