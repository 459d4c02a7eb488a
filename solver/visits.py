"""The visits of a day file as types: what each patient needs, in parts and phases, and what is fixed of it.

Every class checks itself as it is built and raises InputError with every fault it finds.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from solver.checks import counts, filled, intervals, listed, repeated, whole
from solver.clock import Interval
from solver.errors import Fault, refuse_if
from solver.names import Hands


@dataclass(frozen=True, slots=True, kw_only=True)
class Phase:
    """A stretch of a part: how long, whose hands it needs, and whether the output is running."""

    minutes: int
    hands: Hands
    running: bool

    def __post_init__(self) -> None:
        refuse_if(whole("min", self.minutes, 1))

    @property
    def unattended(self) -> bool:
        """True where the output runs with nobody's hands on it, so that it must be watched."""
        return self.running and self.hands == "nobody"


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One treatment of a visit. ``units`` None: every unit. ``max_wait_min`` None: no limit."""

    id: str
    channels: Mapping[str, int]
    phases: tuple[Phase, ...]
    applicators: Mapping[str, int] = field(default_factory=dict)
    suction_kpa: int | None = None
    skill: str | None = None
    units: tuple[str, ...] | None = None
    max_wait_min: int | None = None
    minutes: int = field(init=False, repr=False, compare=False)
    """All phases together; asked so often that it is counted once."""

    def __post_init__(self) -> None:
        object.__setattr__(self, "minutes", sum(phase.minutes for phase in self.phases))
        refuse_if(
            [
                *counts("channels", self.channels),
                *counts("applicators", self.applicators),
                *(whole("suction_kpa", self.suction_kpa) if self.suction_kpa is not None else ()),
                *filled("phases", self.phases, "phase"),
                *(whole("max_wait_min", self.max_wait_min) if self.max_wait_min is not None else ()),
            ]
        )

    @property
    def needs_therapist(self) -> bool:
        return any(phase.hands == "therapist" for phase in self.phases)

    def phases_at(self, start: int) -> list[tuple[Phase, Interval]]:
        """Each phase with the minutes it takes when the part starts at ``start``."""
        placed = []
        for phase in self.phases:
            placed.append((phase, Interval(start, start + phase.minutes)))
            start += phase.minutes
        return placed


@dataclass(frozen=True, slots=True, kw_only=True)
class FixedPart:
    """What may not change of a part; None: free."""

    start: int | None = None
    unit: str | None = None
    place: str | None = None
    bay: str | None = None
    channels: Mapping[str, tuple[str, ...]] | None = None
    items: Mapping[str, tuple[str, ...]] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Fixed:
    """What may not change of a visit that must be placed. ``therapist_given`` tells a fixed null from a free one."""

    therapist: str | None = None
    therapist_given: bool = False
    parts: tuple[FixedPart, ...] = ()

    def __post_init__(self) -> None:
        if self.therapist is not None and not self.therapist_given:
            object.__setattr__(self, "therapist_given", True)


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """One patient's visit: parts in order. ``free`` None: from open to close."""

    id: str
    patient: str
    parts: tuple[Part, ...]
    priority: int = 1
    free: tuple[Interval, ...] | None = None
    wish: int | None = None
    therapist_wish: str | None = None
    therapist_must: str | None = None
    place_tags: tuple[str, ...] = ()
    same_unit: bool = True
    fixed: Fixed | None = None

    def __post_init__(self) -> None:
        faults = [
            *whole("priority", self.priority, 1),
            *intervals("free", self.free or ()),
            *filled("parts", self.parts, "part"),
            *repeated(listed("parts", [part.id for part in self.parts], ".id")),
        ]
        if self.fixed is not None and self.parts and len(self.fixed.parts) > len(self.parts):
            faults.append(
                Fault(
                    f"fixed.parts[{len(self.parts)}]",
                    f"{len(self.fixed.parts)} parts are fixed but the visit has {len(self.parts)}",
                    "fix the visit's parts in their order, at most as many as there are",
                )
            )
        refuse_if(faults)

    @property
    def needs_therapist(self) -> bool:
        return any(part.needs_therapist for part in self.parts)

    @property
    def minutes(self) -> int:
        """All parts together, without waits."""
        return sum(part.minutes for part in self.parts)

    @property
    def stays(self) -> tuple[tuple[int, ...], ...]:
        """Indices of the parts of each stay: all in one with ``same_unit``, else one each."""
        if self.same_unit:
            return (tuple(range(len(self.parts))),)
        return tuple((i,) for i in range(len(self.parts)))

    def fixed_part(self, index: int) -> FixedPart:
        """What is fixed of the part at ``index``; an empty FixedPart where nothing is."""
        if self.fixed is not None and index < len(self.fixed.parts):
            return self.fixed.parts[index]
        return FixedPart()
