"""The rule ``hands``: each phase in the right hands, within hours, outside breaks, one phase at a time."""

from itertools import groupby

from ortools.sat.python import cp_model

from solver.clinic import StaffMember
from solver.clock import Interval
from solver.exact.hinted import Literal
from solver.exact.model import DayModel
from solver.names import RuleName
from solver.visits import Part, Visit


class HandsRule:
    """Kind and skill are kept by the model, which offers only therapists who may have the visit."""

    name: RuleName = "hands"

    def constrain(self, model: DayModel) -> None:
        for member in model.day.staff:
            busy = [model.break_interval(member, i) for i in range(len(member.breaks))]
            for visit, i, part in model.all_parts():
                for literal, stretch, phases in stretches(model, visit, i, part, member):
                    busy.append(phase_interval(model, visit, i, literal, stretch))
                    allowed = self._on_duty(member, phases)
                    if allowed.is_empty():
                        model.cp.add(literal == 0)
                    else:
                        start = model.starts[visit.id][i]
                        model.cp.add_linear_expression_in_domain(start, allowed).only_enforce_if(literal)
            model.cp.add_no_overlap(busy)

    def _on_duty(self, member: StaffMember, phases: list[Interval]) -> cp_model.Domain:
        """The part starts at which each phase lies in one interval of the member's hours."""
        found = cp_model.Domain.from_intervals([[0, 1440]])
        for phase in phases:
            shifts = [[start - phase.start, end - phase.end] for start, end in member.hours]
            found = found.intersection_with(
                cp_model.Domain.from_intervals([shift for shift in shifts if shift[0] <= shift[1]])
            )
        return found


def stretches(
    model: DayModel, visit: Visit, index: int, part: Part, member: StaffMember
) -> list[tuple[Literal, Interval, list[Interval]]]:
    """What the member may do of the part: the literal that they do, the minutes from the part's start, their phases.

    Therapist phases that follow each other are one stretch: one member does them all.
    """
    found: list[tuple[Literal, Interval, list[Interval]]] = []
    numbered = [(k, phase, minutes) for k, (phase, minutes) in enumerate(part.phases_at(0))]
    for hands, group in groupby(numbered, key=lambda one: one[1].hands):
        phases = list(group)
        if hands == "therapist" and member.id in model.therapist[visit.id]:
            minutes = [one[2] for one in phases]
            found.append((model.therapist[visit.id][member.id], Interval(minutes[0].start, minutes[-1].end), minutes))
        elif hands == "anyone":
            found += [(model.anyone[visit.id, index, k][member.id], minutes, [minutes]) for k, _, minutes in phases]
    return found


def phase_interval(
    model: DayModel, visit: Visit, index: int, literal: Literal, minutes: Interval
) -> cp_model.IntervalVar:
    """Minutes counted from the part's start, where the literal is true."""
    start = model.starts[visit.id][index] + minutes.start
    return model.cp.new_optional_fixed_size_interval_var(start, minutes.minutes, literal, f"{visit.id}/{index} hands")
