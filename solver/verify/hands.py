"""Each phase is in the hands that it asks for, of somebody who is there, may do it and does nothing else meanwhile."""

from collections import defaultdict
from collections.abc import Iterator

from solver.clinic import StaffMember
from solver.clock import Interval
from solver.names import RuleName
from solver.problem import Day
from solver.schedule import Plan
from solver.verify.breach import Breach
from solver.verify.sweep import close_pairs
from solver.verify.walk import PhaseAt, parts_of, phases_of, staff_name


class HandsOn:
    name: RuleName = "hands"

    def check(self, day: Day, plan: Plan) -> Iterator[Breach]:
        for text in (*self._therapists(day, plan), *self._skills(day, plan)):
            yield Breach(self.name, text)
        breaks: dict[str, list[Interval]] = defaultdict(list)
        for taken in plan.breaks:
            if taken.start < taken.end:
                breaks[taken.staff].append(Interval(taken.start, taken.end))
        tasks: dict[str, list[tuple[Interval, PhaseAt]]] = defaultdict(list)
        for at in phases_of(day, plan):
            for text in self._named(day, at):
                yield Breach(self.name, text)
            member = day.staff_by_id.get(at.staff or "")
            if at.phase.hands != "nobody" and member is not None:
                tasks[member.id].append((at.interval, at))
                for text in self._there(member, breaks[member.id], at):
                    yield Breach(self.name, text)
        for id, spans in tasks.items():
            for one, other in close_pairs(spans):
                yield Breach(self.name, f"{staff_name(day, id)} does {one} and {other} at the same time")

    def _therapists(self, day: Day, plan: Plan) -> Iterator[str]:
        for placed in plan.visits:
            if not day.visit_by_id[placed.id].needs_therapist:
                continue
            member = day.staff_by_id.get(placed.therapist or "")
            if placed.therapist is None:
                yield f"{placed.id} has no therapist, but has a phase for one"
            elif member is None:
                yield f"{placed.id}: there is no staff member {placed.therapist!r}"
            elif member.kind != "therapist":
                yield f"{placed.id}: {member.name} is no therapist"

    def _skills(self, day: Day, plan: Plan) -> Iterator[str]:
        for at in parts_of(day, plan):
            member = day.staff_by_id.get(at.placed_visit.therapist or "")
            skill = at.part.skill
            if member is not None and at.part.needs_therapist and skill is not None and skill not in member.skills:
                yield f"{at}: {member.name} does not have the skill {skill}"

    def _named(self, day: Day, at: PhaseAt) -> Iterator[str]:
        therapist = at.at.placed_visit.therapist
        if at.phase.hands == "nobody":
            if at.staff is not None:
                yield f"{at} needs nobody, but names {staff_name(day, at.staff)}"
        elif at.staff is None:
            yield f"{at} names nobody, but needs {'a therapist' if at.phase.hands == 'therapist' else 'somebody'}"
        elif at.phase.hands == "therapist" and therapist is not None and at.staff != therapist:
            whose = staff_name(day, therapist)
            yield f"{at} is done by {staff_name(day, at.staff)}, but the visit's therapist is {whose}"
        elif at.staff not in day.staff_by_id and not (at.phase.hands == "therapist" and at.staff == therapist):
            yield f"{at}: there is no staff member {at.staff!r}"

    def _there(self, member: StaffMember, breaks: list[Interval], at: PhaseAt) -> Iterator[str]:
        if not any(hours.covers(at.interval) for hours in member.hours):
            listed = ", ".join(str(hours) for hours in member.hours) or "none"
            yield f"{at} is not within one of the hours of {member.name} ({listed})"
        for pause in breaks:
            if pause.meets(at.interval):
                yield f"{at} meets the break of {member.name} ({pause})"
