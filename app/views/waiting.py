"""The waiting list as it is read."""

import datetime
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Protocol

from solver.clock import Interval, clock

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_HYPHEN = "\N{NON-BREAKING HYPHEN}"
"""So that no line ends between the ends of an interval."""


class Fitting(Protocol):
    """Somebody who waits, with the offer that suits the free minutes best."""

    @property
    def waiting_id(self) -> int: ...
    @property
    def patient(self) -> str: ...
    @property
    def treatment(self) -> str: ...
    @property
    def priority(self) -> int: ...
    @property
    def since(self) -> datetime.datetime: ...
    @property
    def date(self) -> datetime.date: ...
    @property
    def when(self) -> Interval: ...
    @property
    def unit(self) -> str: ...
    @property
    def not_with(self) -> str: ...


@dataclass(frozen=True, slots=True)
class FitLine:
    """``address``: on to the offer in the Openings room, to be booked there."""

    patient: str
    treatment: str
    priority: int
    since: str
    offer: str
    address: str


def fit_lines(fits: Iterable[Fitting]) -> tuple[FitLine, ...]:
    return tuple(
        FitLine(
            fit.patient,
            fit.treatment,
            fit.priority,
            fit.since.date().isoformat(),
            f"{clock(fit.when.start)} to {clock(fit.when.end)} on {fit.unit}"
            + (f", not with {fit.not_with}" if fit.not_with else ""),
            f"/waiting/{fit.waiting_id}/book?date={fit.date.isoformat()}&at={clock(fit.when.start)}",
        )
        for fit in fits
    )


def free_words(weekdays: Iterable[int], hours: str) -> str:
    days = ", ".join(WEEKDAYS[day] for day in weekdays) or "any day"
    together = hours.replace("-", _HYPHEN)
    return f"{days}, {together}" if hours else f"{days}, any hour"
