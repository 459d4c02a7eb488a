"""What stands in the way of somebody's hands on a visit, and of a watch for what runs meanwhile."""

from solver.clinic import StaffMember
from solver.clock import Interval
from solver.masks.bits import minutes_of, span
from solver.masks.ledger import Ledger
from solver.masks.shapes import Spaced
from solver.offering.obstacle import Obstacle, Obstacles, by_visits, held, in_vain, weight
from solver.schedule import PlacedVisit
from solver.visits import Visit


class BlockedHands:
    """Of one visit in one ledger."""

    def __init__(self, ledger: Ledger, visit: Visit) -> None:
        self.ledger = ledger
        self.day = ledger.day
        self.visit = visit

    def least(self, start: int, spaced: Spaced) -> Obstacles:
        """The obstacles of the staff with the fewest, for every phase in hands or unattended."""
        found = list(self._unwatched(start, spaced))
        if self.visit.needs_therapist or (self.visit.fixed is not None and self.visit.fixed.therapist is not None):
            found += self._therapist(start, spaced)
        for offset, minutes in spaced.by_anyone:
            wanted = Interval(start + offset, start + offset + minutes)
            choices = [self._phase(member, wanted) for member in self.day.staff]
            found += min(choices, key=weight, default=self._nobody(wanted))
        return tuple(found)

    def _therapist(self, start: int, spaced: Spaced) -> Obstacles:
        visit = Interval(start, start + spaced.total)
        if not self.visit.needs_therapist:
            text = "a therapist is fixed, but no phase needs one"
            return (in_vain("fixed", self.visit.id, visit, text),)
        phases = [Interval(start + offset, start + offset + minutes) for offset, minutes in spaced.by_therapist]
        choices = [
            (*self._unfit(member, visit), *(each for wanted in phases for each in self._phase(member, wanted)))
            for member in self.day.staff
        ]
        return min(choices, key=weight, default=self._nobody(visit))

    def _nobody(self, wanted: Interval) -> Obstacles:
        return (in_vain("hands", "staff", wanted, "nobody is on the staff"),)

    def _unfit(self, member: StaffMember, wanted: Interval) -> list[Obstacle]:
        """Why the member cannot be the visit's therapist at any time."""
        visit, fixed, found = self.visit, self.visit.fixed, []
        skills = {part.skill for part in visit.parts if part.needs_therapist} - {None, *member.skills}
        if member.kind != "therapist":
            found.append(in_vain("hands", member.id, wanted, f"{member.name} is no therapist"))
        if skills:
            listed = ", ".join(sorted(skill for skill in skills if skill is not None))
            found.append(in_vain("hands", member.id, wanted, f"{member.name} does not have the skill {listed}"))
        if visit.therapist_must not in (None, member.id):
            text = f"the visit must be with {visit.therapist_must}, not with {member.name}"
            found.append(in_vain("therapist", member.id, wanted, text))
        if fixed is not None and fixed.therapist_given and fixed.therapist != member.id:
            text = f"the visit is fixed with {fixed.therapist or 'nobody'}, not with {member.name}"
            found.append(in_vain("fixed", member.id, wanted, text))
        return found

    def _phase(self, member: StaffMember, wanted: Interval) -> Obstacles:
        """Why the member cannot do a phase at these minutes."""
        found: list[Obstacle] = []
        if not any(hours.covers(wanted) for hours in member.hours):
            listed = ", ".join(str(hours) for hours in member.hours) or "none"
            text = f"{member.name} is wanted {wanted}, which is not within one of their hours ({listed})"
            found.append(in_vain("hands", member.id, wanted, text))
        for taken in self.ledger.breaks.values():
            pause = Interval(taken.start, taken.end)
            if taken.staff == member.id and pause.meets(wanted):
                found.append(in_vain("hands", member.id, pause, f"{member.name} has a break {pause}"))
        found += held("hands", member.id, member.name, self.ledger.staff[member.id], wanted)
        lost = self.ledger.lost_watch(member.id)
        if lost and not any(each.rule == "hands" for each in found):
            found += self._watch(wanted, lost, f"{member.name} with busy hands watches {lost} fewer")
        return tuple(found)

    def _unwatched(self, start: int, spaced: Spaced) -> Obstacles:
        found: Obstacles = ()
        for offset, minutes in spaced.unattended:
            wanted = Interval(start + offset, start + offset + minutes)
            found += self._watch(wanted, 1, f"a part runs unattended {wanted}")
        return found

    def _watch(self, wanted: Interval, need: int, what: str) -> Obstacles:
        """Why nobody can watch so many more: whoever runs unattended, or keeps a watcher busy, at the minutes short."""
        short = span(*wanted) & ~self.ledger.watch.at_least(need)
        if not short:
            return ()
        spans: dict[str, Interval] = {}
        for id, placed in self.ledger.visits.items():
            mask = self._watch_taken(placed) & short
            if mask:
                spans[id] = Interval((mask & -mask).bit_length() - 1, mask.bit_length())
        minutes = list(minutes_of(short))
        if any(self._watch_at(minute) < need for minute in minutes):
            text = f"{what}, and the staff there cannot watch that many"
            return (in_vain("watch", "watch", Interval(minutes[0], minutes[-1] + 1), text),)
        return by_visits("watch", "watch", spans, what)

    def _watch_taken(self, placed: PlacedVisit) -> int:
        """The minutes in which a visit of the plan takes any watch away."""
        taken = 0
        for part, where in zip(self.day.visit_by_id[placed.id].parts, placed.parts, strict=True):
            for (phase, minutes), who in zip(part.phases_at(where.start), where.hands, strict=True):
                if phase.unattended or (who is not None and self.ledger.lost_watch(who)):
                    taken |= span(*minutes)
        return taken

    def _watch_at(self, minute: int) -> int:
        """How many parts the staff could watch at the minute with nobody treated."""
        pausing = {each.staff for each in self.ledger.breaks.values() if each.start <= minute < each.end}
        there = (id for id, mask in self.ledger.on_duty.items() if mask >> minute & 1 and id not in pausing)
        return sum(self.ledger.watches[id][0] for id in there)
