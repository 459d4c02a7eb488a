"""Each break of the day is given once, with its length and in its time; a member's breaks do not overlap."""

from collections import defaultdict
from collections.abc import Iterator

from solver.clinic import Break, StaffMember
from solver.clock import Interval
from solver.names import RuleName
from solver.problem import Day
from solver.schedule import Plan
from solver.verify.breach import Breach
from solver.verify.sweep import close_pairs


class Breaks:
    name: RuleName = "break"

    def check(self, day: Day, plan: Plan) -> Iterator[Breach]:
        taken: dict[str, list[Interval]] = defaultdict(list)
        for pause in plan.breaks:
            taken[pause.staff].append(Interval(pause.start, pause.end))
        for id in taken:
            if id not in day.staff_by_id:
                yield Breach(self.name, f"a break is given to {id!r}, but there is no such staff member")
        for member in day.staff:
            for text in self._given_once(member, sorted(taken[member.id])):
                yield Breach(self.name, text)
            for one, other in close_pairs((pause, pause) for pause in taken[member.id] if pause.start < pause.end):
                yield Breach(self.name, f"{member.name} has the breaks {one} and {other}, which overlap")

    def _given_once(self, member: StaffMember, taken: list[Interval]) -> Iterator[str]:
        pairs = _pairs(member.breaks, taken)
        missing = [wanted for i, wanted in enumerate(member.breaks) if i not in pairs]
        spare = [pause for i, pause in enumerate(taken) if i not in pairs.values()]
        for wanted in missing:
            what = f"{member.name} has a break of {wanted.minutes} minutes within {wanted.between}"
            if spare:
                yield f"{what}, but the plan gives {spare.pop(0)}"
            else:
                yield f"{what}, but the plan does not give it"
        for pause in spare:
            yield f"{member.name} has no break left to take at {pause}"


def _pairs(wanted: tuple[Break, ...], taken: list[Interval]) -> dict[int, int]:
    """As many breaks of the day as possible, each with a break of the plan that it allows: a largest matching."""
    wanted_of: dict[int, int] = {}

    def give(i: int, tried: set[int]) -> bool:
        for j, pause in enumerate(taken):
            fits = pause.minutes == wanted[i].minutes and wanted[i].between.covers(pause)
            if fits and j not in tried:
                tried.add(j)
                if j not in wanted_of or give(wanted_of[j], tried):
                    wanted_of[j] = i
                    return True
        return False

    for i in range(len(wanted)):
        give(i, set())
    return {i: j for j, i in wanted_of.items()}
