"""The plan file as types: who is where, when, on which channels, in whose hands.

These classes hold whatever a plan file says, right or wrong: the verifier judges it. Minutes count from midnight.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from solver.names import AimName, PlanStatus, RuleName


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedPart:
    """A part with its start, where it is, what it holds, and who does each phase (None: nobody)."""

    id: str
    start: int
    unit: str
    place: str
    bay: str
    channels: Mapping[str, tuple[str, ...]]
    items: Mapping[str, tuple[str, ...]]
    hands: tuple[str | None, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedVisit:
    """A visit that is in the plan, with its parts in order."""

    id: str
    therapist: str | None
    parts: tuple[PlacedPart, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedBreak:
    staff: str
    start: int
    end: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """Why a visit is left out: a rule that stands in the way, and what that means here."""

    rule: RuleName
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOut:
    id: str
    reasons: tuple[Reason, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Clash:
    """A visit or a staff member in a set that cannot hold together, and the rules that forbid it."""

    id: str
    rules: tuple[RuleName, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """A plan of a day. ``conflict`` is filled where, and only where, the status is infeasible."""

    date: date
    status: PlanStatus
    visits: tuple[PlacedVisit, ...] = ()
    left_out: tuple[LeftOut, ...] = ()
    breaks: tuple[PlacedBreak, ...] = ()
    scores: Mapping[AimName, int] = field(default_factory=dict)
    bounds: Mapping[AimName, int] = field(default_factory=dict)
    conflict: tuple[Clash, ...] = ()
