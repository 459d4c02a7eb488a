"""What one entry reached on one case, and when."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from solver.names import AimName


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """What was known ``seconds`` after the start: scores of the best plan so far, and bounds for them."""

    seconds: float
    scores: Mapping[AimName, int]
    bounds: Mapping[AimName, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """``first``, ``best``, ``proof``: seconds to the first plan, to the best, to the proof; None where there is none.

    ``bounds`` holds the aims for which a bound is known. ``memory_mb``: the greatest of the process. ``note``: why
    there is nothing to show, or what limits it. ``moments``: the course, where it is known.
    """

    scores: Mapping[AimName, int] = field(default_factory=dict)
    bounds: Mapping[AimName, int] = field(default_factory=dict)
    first: float | None = None
    best: float | None = None
    proof: float | None = None
    memory_mb: float | None = None
    note: str = ""
    moments: tuple[Moment, ...] = ()
