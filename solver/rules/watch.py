"""The rule ``watch``: enough watch for what runs unattended, at every minute."""

from itertools import groupby

from ortools.sat.python import cp_model

from solver.clinic import StaffMember
from solver.clock import DAY_MIN, Interval
from solver.exact.held import Held
from solver.exact.hinted import ReadOff
from solver.exact.model import DayModel
from solver.names import RuleName
from solver.rules.hands import phase_interval, stretches
from solver.visits import Part, Visit
from solver.watches import watches_of


class WatchRule:
    """All staff's watch is one capacity; absence, breaks, busy hands and unattended parts take from it."""

    name: RuleName = "watch"

    def constrain(self, model: DayModel) -> None:
        watches = watches_of(model.day)
        held: list[Held] = []
        for member in model.day.staff:
            free, _ = watches[member.id]
            if free:
                held += [Held(away, free) for away in self._off_duty(model, member)]
                for i in range(len(member.breaks)):
                    held += [Held(away, free) for away in self._on_break(model, member, i)]
        for visit, i, part in model.all_parts():
            held += [
                Held(phase_interval(model, visit, i, model.present[visit.id], minutes), 1, visit.id)
                for minutes in unattended(part)
            ]
            held += self._busy(model, visit, i, part, {id: free - busy for id, (free, busy) in watches.items()})
        model.at_most(sum(free for free, _ in watches.values()), held)

    def _off_duty(self, model: DayModel, member: StaffMember) -> list[cp_model.IntervalVar]:
        """The minutes outside the member's hours."""
        found, since = [], 0
        for start, end in [*sorted(member.hours), (DAY_MIN, DAY_MIN)]:
            if start > since:
                found.append(model.cp.new_fixed_size_interval_var(since, start - since, f"{member.id} off duty"))
            since = end
        return found

    def _on_break(self, model: DayModel, member: StaffMember, index: int) -> list[cp_model.IntervalVar]:
        """The minutes of the break that lie in the member's hours."""
        wanted = member.breaks[index]
        if any(hours.covers(wanted.between) for hours in member.hours) and "break" not in model.without:
            return [model.break_interval(member, index)]
        found = []
        for hours in member.hours:
            name = f"break {member.id}/{index} in {hours}"
            since = self._clamped(model, f"{name} from", member, index, hours, 0)
            until = self._clamped(model, f"{name} to", member, index, hours, wanted.minutes)
            size = model.integer(f"{name} size", 0, min(wanted.minutes, hours.minutes), _overlap(member, index, hours))
            model.cp.add(until - since == size)
            found.append(model.cp.new_interval_var(since, size, until, name))
        return found

    def _clamped(
        self, model: DayModel, name: str, member: StaffMember, index: int, hours: Interval, offset: int
    ) -> cp_model.IntVar:
        """The minute ``offset`` after the break's start, moved into the hours where it lies outside them."""
        least = model.integer(f"{name} at most", 0, hours.end, _minute(member, index, Interval(0, hours.end), offset))
        clamped = model.integer(name, hours.start, hours.end, _minute(member, index, hours, offset))
        model.cp.add_min_equality(least, [model.breaks[member.id, index] + offset, hours.end])
        model.cp.add_max_equality(clamped, [least, hours.start])
        return clamped

    def _busy(self, model: DayModel, visit: Visit, index: int, part: Part, lost: dict[str, int]) -> list[Held]:
        """The watch that a member loses while doing a phase of the part; one interval where all would lose the same."""
        by_stretch: dict[Interval, list[Held]] = {}
        for member in model.day.staff:
            for literal, minutes, _ in stretches(model, visit, index, part, member):
                interval = phase_interval(model, visit, index, literal, minutes)
                by_stretch.setdefault(minutes, []).append(Held(interval, lost[member.id], visit.id))
        found = []
        for minutes, held in by_stretch.items():
            losses = {one.demand for one in held}
            if losses != {0} and len(losses) == 1:
                interval = phase_interval(model, visit, index, model.present[visit.id], minutes)
                found.append(Held(interval, held[0].demand, visit.id))
            else:
                found += [one for one in held if one.demand]
        return found


def unattended(part: Part) -> list[Interval]:
    """The stretches of the part, in minutes from its start, that run with nobody's hands on them."""
    found = []
    for is_unattended, group in groupby(part.phases_at(0), key=lambda one: one[0].unattended):
        minutes = [one[1] for one in group]
        if is_unattended:
            found.append(Interval(minutes[0].start, minutes[-1].end))
    return found


def _minute(member: StaffMember, index: int, within: Interval, offset: int) -> ReadOff:
    return lambda plan: max(within.start, min(plan.breaks(member.id)[index].start + offset, within.end))


def _overlap(member: StaffMember, index: int, hours: Interval) -> ReadOff:
    until = _minute(member, index, hours, member.breaks[index].minutes)
    since = _minute(member, index, hours, 0)
    return lambda plan: until(plan) - since(plan)
