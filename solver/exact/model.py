"""The variables of a day's exact model. Rules constrain them, aims make sums of them."""

from collections.abc import Collection, Iterable
from math import gcd
from typing import TYPE_CHECKING, NamedTuple

from ortools.sat.python import cp_model

from solver.clinic import StaffMember
from solver.clock import DAY_MIN
from solver.exact.facts import Facts
from solver.exact.hinted import Expression, HintedModel, Literal, ReadOff
from solver.names import RuleName
from solver.problem import Day
from solver.sites import Site, allowed_sites
from solver.visits import Part, Visit

if TYPE_CHECKING:
    from solver.exact.whereabouts import Whereabouts


class Thread(NamedTuple):
    """Items of one class that a stay holds from one part that names them to another (indices of the visit's parts)."""

    items: tuple[str, ...]
    first: int
    last: int


class StayModel:
    """One stay of a visit: where it may be and how long it is."""

    def __init__(self, model: "DayModel", visit: Visit, number: int, parts: tuple[int, ...]) -> None:
        self.visit = visit
        self.number = number
        self.parts = parts
        present = model.present[visit.id]
        first = parts[0]
        self.start = model.starts[visit.id][first]
        self.end = model.starts[visit.id][parts[-1]] + visit.parts[parts[-1]].minutes
        name = f"{visit.id}/{number}"
        sites = allowed_sites(model.day, visit, parts, model.without)
        self.at = model.choice(
            f"{name} at",
            {site.key: self._is_at(site) for site in sites},
            present,
        )
        self.on_unit = model.grouped(
            f"{name} on",
            {unit: [lit for (u, _), lit in self.at.items() if u == unit] for unit, _ in self.at},
            lambda unit: lambda plan: int(plan.unit(visit.id, first) == unit),
        )
        self.at_place = model.grouped(
            f"{name} in",
            {place: [lit for (_, p), lit in self.at.items() if p == place] for _, place in self.at},
            lambda place: lambda plan: int(plan.place(visit.id, first) == place),
        )

    def _is_at(self, site: Site) -> ReadOff:
        visit, first, unit, place = self.visit.id, self.parts[0], site.unit.id, site.place.id
        return lambda plan: int((plan.unit(visit, first), plan.place(visit, first)) == (unit, place))


class DayModel(HintedModel):
    """A CP-SAT model of a day. ``without``: rules that are left out, when one asks what stands in the way."""

    def __init__(self, day: Day, without: Collection[RuleName] = ()) -> None:
        super().__init__(day)
        self.without = frozenset(without)
        self.present: dict[str, Literal] = {}
        self.starts: dict[str, list[cp_model.IntVar]] = {}
        self.gaps: dict[str, list[cp_model.IntVar]] = {}
        self.stays: dict[str, list[StayModel]] = {}
        self.therapist: dict[str, dict[str, Literal]] = {}
        self.anyone: dict[tuple[str, int, int], dict[str, Literal]] = {}
        self.breaks: dict[tuple[str, int], cp_model.IntVar] = {}
        self.channel_choice: dict[tuple[str, int, str], dict[tuple[int, ...], Literal]] = {}
        self.in_bay: dict[tuple[str, int, str], dict[tuple[str, ...], Literal]] = {}
        self.bay_handed_on: dict[tuple[str, int, int], list[Literal]] = {}
        self.item_threads: dict[tuple[str, int, str], dict[Thread, cp_model.LinearExprT]] = {}
        self.whereabouts: dict[str, Whereabouts] = {}  # of the rule ``place``, which comes before ``battery``
        self._sizes: dict[tuple[str, int, int], cp_model.IntVar] = {}
        for visit in day.visits:
            self._add_visit(visit)
        for member in day.staff:
            for i in range(len(member.breaks)):
                self.breaks[member.id, i] = self.integer(
                    f"break {member.id}/{i}", 0, DAY_MIN, self._break_start(member, i)
                )

    def _add_visit(self, visit: Visit) -> None:
        id = visit.id
        self.present[id] = self.boolean(f"{id} present", lambda plan: int(plan.placed(id) is not None))
        self.starts[id] = [
            self.integer(f"{id}/{part.id} start", 0, DAY_MIN, lambda plan, i=i: plan.start(id, i))  # type: ignore[misc]
            for i, part in enumerate(visit.parts)
        ]
        self.gaps[id] = [self._gap(visit, i) for i in range(1, len(visit.parts))]
        whole = "unit" not in self.without
        stays = visit.stays if whole else tuple((i,) for i in range(len(visit.parts)))
        self.stays[id] = [StayModel(self, visit, k, parts) for k, parts in enumerate(stays)]
        if visit.needs_therapist:
            self.therapist[id] = self.choice(
                f"{id} therapist",
                {member.id: self._has_therapist(id, member) for member in self._therapists(visit)},
                self.present[id],
            )
        for i, part in enumerate(visit.parts):
            for k, phase in enumerate(part.phases):
                if phase.hands == "anyone":
                    self.anyone[id, i, k] = self.choice(
                        f"{id}/{part.id}/{k} hands",
                        {member.id: self._has_hands(id, i, k, member) for member in self.day.staff},
                        self.present[id],
                    )

    def _therapists(self, visit: Visit) -> list[StaffMember]:
        skills = {part.skill for part in visit.parts if part.needs_therapist and part.skill is not None}
        return [
            member
            for member in self.day.staff
            if "hands" in self.without or (member.kind == "therapist" and skills.issubset(member.skills))
        ]

    @staticmethod
    def _has_therapist(id: str, member: StaffMember) -> ReadOff:
        return lambda plan: int(plan.therapist(id) == member.id)

    @staticmethod
    def _has_hands(id: str, part: int, phase: int, member: StaffMember) -> ReadOff:
        return lambda plan: int(plan.hands(id, part, phase) == member.id)

    @staticmethod
    def _break_start(member: StaffMember, index: int) -> ReadOff:
        return lambda plan: plan.breaks(member.id)[index].start

    def _gap(self, visit: Visit, index: int) -> cp_model.IntVar:
        """The wait before the part, tied to the starts where the visit is present."""
        id, before = visit.id, visit.parts[index - 1].minutes

        def read_off(plan: Facts) -> int:
            return 0 if plan.placed(id) is None else plan.start(id, index) - plan.end(id, index - 1)

        gap = self.integer(f"{id} gap {index}", 0, DAY_MIN, read_off)
        since, until = self.starts[id][index - 1], self.starts[id][index]
        self.cp.add(until - since - before == gap).only_enforce_if(self.present[id])
        return gap

    def span_size(self, visit: Visit, parts: tuple[int, ...]) -> cp_model.IntVar:
        """Minutes from the first of several parts' start to the last one's end, where the visit is present."""
        id, first, last = visit.id, parts[0], parts[-1]
        known = self._sizes.get((id, first, last))
        if known is None:
            least = sum(visit.parts[i].minutes for i in range(first, last + 1))

            def read_off(plan: Facts) -> int:
                return least if plan.placed(id) is None else plan.end(id, last) - plan.start(id, first)

            # A visit longer than a day is never present; its size is then without meaning.
            known = self.integer(f"{id} {first}-{last} size", least, max(least, DAY_MIN), read_off)
            end = self.starts[id][last] + visit.parts[last].minutes
            self.cp.add(known == end - self.starts[id][first]).only_enforce_if(self.present[id])
            self._sizes[id, first, last] = known
        return known

    def on_unit(self, visit: str, part: int) -> dict[str, Literal]:
        """For each unit the literal that the part is on it."""
        return self.stay_of(visit, part).on_unit

    def stay_of(self, visit: str, part: int) -> StayModel:
        return next(stay for stay in self.stays[visit] if part in stay.parts)

    def all_stays(self) -> Iterable[StayModel]:
        return (stay for stays in self.stays.values() for stay in stays)

    def stays_on(self, unit: str) -> list[StayModel]:
        """The stays that may be on the unit."""
        return [stay for stay in self.all_stays() if unit in stay.on_unit]

    def all_parts(self) -> Iterable[tuple[Visit, int, Part]]:
        return ((visit, i, part) for visit in self.day.visits for i, part in enumerate(visit.parts))

    def end(self, visit: str) -> Expression:
        return self.starts[visit][-1] + self.day.visit_by_id[visit].parts[-1].minutes

    def part_interval(self, visit: Visit, index: int, literal: Literal, tail: int = 0) -> cp_model.IntervalVar:
        """The part's minutes and ``tail`` more, where the literal is true."""
        minutes = visit.parts[index].minutes + tail
        start = self.starts[visit.id][index]
        return self.cp.new_optional_fixed_size_interval_var(start, minutes, literal, f"{visit.id}/{index}")

    def stay_interval(self, stay: StayModel, literal: Literal, tail: int = 0) -> cp_model.IntervalVar:
        """The stay's minutes and ``tail`` more, where the literal is true."""
        return self.parts_interval(stay.visit, stay.parts, literal, tail)

    def visit_interval(self, visit: Visit) -> cp_model.IntervalVar:
        """From the first part's start to the last part's end, where the visit is present."""
        return self.parts_interval(visit, tuple(range(len(visit.parts))), self.present[visit.id])

    def parts_interval(
        self, visit: Visit, parts: tuple[int, ...], literal: Literal, tail: int = 0
    ) -> cp_model.IntervalVar:
        """From the first of the parts' start to the last one's end and ``tail`` more, where the literal is true."""
        first, last = parts[0], parts[-1]
        if first == last:
            return self.part_interval(visit, first, literal, tail)
        start, end = self.starts[visit.id][first], self.starts[visit.id][last] + visit.parts[last].minutes
        size = self.span_size(visit, parts)
        return self.cp.new_optional_interval_var(start, size + tail, end + tail, literal, f"{visit.id}/{first}-{last}")

    def break_interval(self, member: StaffMember, index: int) -> cp_model.IntervalVar:
        start = self.breaks[member.id, index]
        minutes = member.breaks[index].minutes
        return self.cp.new_fixed_size_interval_var(start, minutes, f"break {member.id}/{index}")

    def distance(self, name: str, start: cp_model.IntVar, target: int, visit: Visit) -> Expression:
        """Minutes between a start and a target where the visit is present, else 0.

        Starts are on the grid where the model has that rule: with a target on it too, whole steps are counted.
        """
        grain = 1 if "grid" in self.without else gcd(self.day.step_min, target)

        def read_off(plan: Facts) -> int:
            return 0 if plan.placed(visit.id) is None else abs(plan.start(visit.id, 0) - target) // grain

        apart = grain * self.integer(name, 0, DAY_MIN // grain, read_off)
        self.cp.add(apart >= start - target).only_enforce_if(self.present[visit.id])
        self.cp.add(apart >= target - start).only_enforce_if(self.present[visit.id])
        return apart

    def waited(self, visit: Visit) -> Expression:
        """The visit's waits in all where it is present, else 0."""
        total = self.integer(f"{visit.id} waited", 0, DAY_MIN, lambda plan: plan.waited(visit.id))
        self.cp.add(total >= sum(self.gaps[visit.id])).only_enforce_if(self.present[visit.id])
        return total
