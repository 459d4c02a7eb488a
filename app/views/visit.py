"""The words of a visit's page, its slip, and its steps."""

import datetime

from app.views.dates import spoken
from solver.clock import Interval, clock

STATUS_WORDS = {
    "booked": "booked",
    "arrived": "arrived",
    "fulfilled": "given",
    "cancelled": "cancelled",
    "noshow": "missed: did not come",
    "entered-in-error": "booked by mistake",
    "proposed": "proposed",
    "pending": "pending",
    "checked-in": "checked in",
    "waitlist": "on the waiting list",
}
STEP_WORDS = {"arrived": "Arrived", "fulfilled": "Given", "noshow": "Missed"}
REASONS = ("Patient asked", "Patient is ill", "Clinic asked", "Unit out of service")
"""Suggested; any text may be given."""


def when_words(date: datetime.date, when: Interval) -> str:
    return f"{spoken(date)}, {clock(when.start)} to {clock(when.end)}"


def slip_text(clinic: str, date: datetime.date, when: Interval, where: str, bring: str) -> str:
    """What the slip says, to be copied: no treatment, no diagnosis."""
    lines = [f"Your appointment at {clinic}", f"{spoken(date)}, {clock(when.start)}", f"Where: {where}"]
    return "\n".join([*lines, *([f"Please bring: {bring}"] if bring else [])])
