"""What the commands say, one line for each thing."""

import sys
from collections.abc import Sequence

from solver.one_line import one_line

MOST_LINES = 50


def say(line: str) -> None:
    """One line on standard output."""
    sys.stdout.write(f"{one_line(line, most=1_000)}\n")


def warn(line: str) -> None:
    """One line on standard error."""
    sys.stderr.write(f"{one_line(line, most=1_000)}\n")


def confirmed(question: str) -> bool:
    """True where the answer is yes; no answer is none."""
    sys.stdout.write(f"{one_line(question, most=1_000)} [y/N] ")
    sys.stdout.flush()
    return sys.stdin.readline().strip().lower() in ("y", "yes")


def warn_of(lines: Sequence[str], what: str) -> None:
    """The first lines on standard error, and how many more there are."""
    for line in lines[:MOST_LINES]:
        warn(line)
    if len(lines) > MOST_LINES:
        warn(f"and {len(lines) - MOST_LINES:,} more {what}")
