"""Which of several ways to place a visit at one start is the best: by the day's aims, then by least harm.

Least harm to what else could still be booked, a rule of thumb: the therapist with the fewest skills, the unit whose
channels drive the fewest outputs, the place with the fewest tags; and the shortest wait.
"""

from solver.aims import Costs, costs_of
from solver.clinic import StaffMember
from solver.outline import Outline
from solver.problem import Day
from solver.sites import Site
from solver.visits import Visit


class Preference:
    """Of one visit on one day. The costs of therapist, unit and wait add up, so each can be chosen by itself."""

    def __init__(self, day: Day, visit: Visit) -> None:
        self.day = day
        self.visit = visit
        told = day.published_by_id.get(visit.id)
        self.told_unit = told.parts[0].unit if told is not None and told.parts else None
        self._bare = visit.minutes
        self._members: dict[str | None, tuple[Costs, int, int]] = {}
        self._sites: dict[tuple[str, str], tuple[int, int]] = {}

    def costs(self, start: int, total: int, member: StaffMember | None, told: bool) -> Costs:
        """What the visit adds to the aims. ``total``: minutes with waits; ``told``: first on the unit it was told."""
        unit = self.told_unit if told and self.told_unit is not None else ""
        id = member.id if member is not None else None
        return costs_of(self.day, self.visit, Outline(start, start + total, unit, id, total - self._bare))

    def of_member(self, member: StaffMember | None) -> tuple[Costs, int, int]:
        """Sorts the therapists, the best first."""
        id = member.id if member is not None else None
        found = self._members.get(id)
        if found is None:
            skills, number = (len(member.skills), self.day.staff.index(member)) if member is not None else (0, 0)
            found = self._members[id] = (self.costs(0, self._bare, member, False), skills, number)
        return found

    def of_site(self, site: Site) -> tuple[int, int]:
        """Sorts sites that cost the same, the least harmful first."""
        found = self._sites.get(site.key)
        if found is None:
            drives = sum(len(channel.drives) for channel in site.unit.channels)
            found = self._sites[site.key] = (drives, len(site.place.tags))
        return found

    def is_told(self, site: Site) -> bool:
        return site.unit.id == self.told_unit
