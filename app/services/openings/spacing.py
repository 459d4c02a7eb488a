"""How many days there are from one session of a course to the next: looked for so, and looked at again when booked."""

import datetime
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from app.clock import days_after
from solver.errors import Fault


@dataclass(frozen=True, slots=True)
class Spacing:
    """``most`` None: no limit."""

    least: int
    most: int | None

    def first(self, wanted: datetime.date, booked: Sequence[datetime.date]) -> datetime.date:
        """The first date that a session can be on, none being looked for before the wanted one."""
        before = _latest(wanted, booked)
        return wanted if before is None else max(wanted, days_after(before, self.least))

    def is_paused(self, wanted: datetime.date, booked: Sequence[datetime.date]) -> bool:
        """Whether the session before is so long ago that no day is near enough; then the most days are not held to."""
        before = _latest(wanted, booked)
        if before is None or self.most is None:
            return False
        return (self.first(wanted, booked) - before).days > self.most

    def faults(
        self, new: Collection[datetime.date], booked: Sequence[datetime.date], wanted: datetime.date
    ) -> Iterator[Fault]:
        """A line for each two sessions next to each other that are too near or too far, one of them new at least."""
        resumed = _latest(wanted, booked) if self.is_paused(wanted, booked) else None
        for before, after in pairwise(sorted([*booked, *new])):
            days = (after - before).days
            if before not in new and after not in new:
                continue
            if days < self.least:
                right = f"at least {self.least} are prescribed"
            elif self.most is not None and days > self.most and before != resumed:
                right = f"at most {self.most} are prescribed"
            else:
                continue
            what = f"from {before} to {after} there would be {days} {'day' if days == 1 else 'days'}"
            yield Fault("sessions", what, right)


def spacing_of(least_days: int, most_days: int) -> Spacing:
    """As prescribed: sessions are on different days; no most days, no limit."""
    least = max(1, least_days)
    return Spacing(least, max(least, most_days) if most_days else None)


def _latest(wanted: datetime.date, booked: Sequence[datetime.date]) -> datetime.date | None:
    return max((date for date in booked if date < wanted), default=None)
