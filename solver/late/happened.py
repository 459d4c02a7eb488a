"""What has happened of a plan by some minute of its day. Minutes count from midnight."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from solver.checks import whole
from solver.clock import DAY_MIN, Interval
from solver.errors import Fault, refuse_if

PartOf = tuple[str, int]
"""A visit's id and the number of a part of it, from 0."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ran:
    """A part that was started. ``start``: the minute it began in. ``phases``: the minutes of each phase, as they were
    for those that are over, as they are expected to be for the others; pauses among them.

    ``over``: the part has ended, after as many phases as are given. ``phase``: the number of the one it is in, or
    ended in. ``hands``: by phase, whose they were or are to be, where that is not as planned. Raises InputError where
    minutes are below 0 or there is no such phase.
    """

    start: int
    phases: tuple[int, ...]
    phase: int
    over: bool
    hands: Mapping[int, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        faults = [fault for i, minutes in enumerate(self.phases) for fault in whole(f"phases[{i}]", minutes)]
        faults += whole("start", self.start, 0, DAY_MIN)
        if not 0 <= self.phase < len(self.phases):
            faults.append(Fault("phase", f"there is no phase {self.phase}", f"give one below {len(self.phases)}"))
        refuse_if(faults)

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
