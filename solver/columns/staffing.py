"""Staff who are alike to a plan, so that one column serves for any of them."""

from collections.abc import Sequence
from typing import NamedTuple

from solver.clinic import StaffMember
from solver.problem import Day


class Crew(NamedTuple):
    """Members of staff who are alike."""

    members: tuple[StaffMember, ...]

    def on_duty(self, minute: int) -> int:
        """How many of them are in their hours at the minute."""
        return sum(any(start <= minute < end for start, end in member.hours) for member in self.members)

    def has(self, id: str | None) -> bool:
        return any(member.id == id for member in self.members)


def crews_of(day: Day, *, by_name: bool) -> list[Crew]:
    """The staff in crews of the same kind, hours, breaks, skills and watch; ``by_name``: each alone."""
    crews: dict[object, list[StaffMember]] = {}
    for member in day.staff:
        alike = (
            member.kind,
            member.hours,
            member.breaks,
            frozenset(member.skills),
            member.watch_free,
            member.watch_busy,
        )
        crews.setdefault(member.id if by_name else alike, []).append(member)
    return [Crew(tuple(members)) for members in crews.values()]


def crew_of(crews: Sequence[Crew], member: StaffMember | None) -> int | None:
    """The number of the member's crew; None for nobody."""
    if member is None:
        return None
    return next(i for i, crew in enumerate(crews) if crew.has(member.id))
