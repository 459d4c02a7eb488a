"""A day that runs late: what a delay does to the rest of it, and how it could be repaired.

``live_day`` makes of the plan and of what happened the day as it runs; ``shifted`` is the plain right-shift of it.
"""

from solver.late.happened import Happened, Ran
from solver.late.live import LiveDay, live_day
from solver.late.moved import Left, Moved, Outcome, outcome_of
from solver.late.repair import for_repair
from solver.late.shift import shifted

__all__ = [
    "Happened",
    "Left",
    "LiveDay",
    "Moved",
    "Outcome",
    "Ran",
    "for_repair",
    "live_day",
    "outcome_of",
    "shifted",
]
