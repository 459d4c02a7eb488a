"""What has happened of a plan by some minute of its day. Minutes count from midnight."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from solver.clock import Interval

PartOf = tuple[str, int]
"""A visit's id and the number of a part of it, from 0."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ran:
    """A part that was started. ``start``: the minute it began in. ``phases``: the minutes of each phase, as they were
    for those that are over, as they are expected to be for the others; pauses among them.

    ``over``: the part has ended, after as many phases as are given. ``phase``: the number of the one it is in, or
    ended in. ``hands``: by phase, whose they were or are to be, where that is not as planned.
    """

    start: int
    phases: tuple[int, ...]
    phase: int
    over: bool
    hands: Mapping[int, str] = field(default_factory=dict)

    @property
    def end(self) -> int:
        return self.start + sum(self.phases)


@dataclass(frozen=True, slots=True, kw_only=True)
class Happened:
    """``ran``: the parts that were started. ``not_before``: minutes before which a visit's patient is not expected.

    ``over``: visits of which nothing more is to come. ``gone`` and ``away``: from when to when a unit is out of
    service and a member of staff is not there. ``aside``: items that may not be used until further notice; ``clean``:
    items that are clean though their turnaround is not over.
    """

    now: int
    ran: Mapping[PartOf, Ran] = field(default_factory=dict)
    not_before: Mapping[str, int] = field(default_factory=dict)
    over: frozenset[str] = frozenset()
    gone: Mapping[str, Interval] = field(default_factory=dict)
    away: Mapping[str, Interval] = field(default_factory=dict)
    aside: frozenset[str] = frozenset()
    clean: frozenset[str] = frozenset()

    def parts_of(self, visit: str) -> list[Ran]:
        """The visit's parts that were started, in order."""
        return [self.ran[key] for key in sorted(self.ran) if key[0] == visit]
