"""What a running search tells its caller, and how the caller stops it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from solver.names import AimName
from solver.schedule import Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """The state of a search ``seconds`` after it began.

    ``plan`` is the best plan so far, already verified, with its scores and bounds; None before the first one.
    ``aim`` is the aim being made small now; None while the first plan is built.
    """

    seconds: float
    plan: Plan | None
    aim: AimName | None
    scores: Mapping[AimName, int]
    bounds: Mapping[AimName, int]


ProgressCallback = Callable[[Progress], None]
StopRequest = Callable[[], bool]
