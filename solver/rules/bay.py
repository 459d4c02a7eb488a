"""The rule ``bay``: one stay in a bay at a time, made ready before the next visit's stay."""

from itertools import combinations

from ortools.sat.python import cp_model

from solver.clock import DAY_MIN
from solver.exact.alike import bay_classes
from solver.exact.facts import Facts
from solver.exact.held import Held
from solver.exact.hinted import Literal, ReadOff
from solver.exact.model import DayModel, StayModel
from solver.names import RuleName
from solver.problem import Day


class BayRule:
    """Bays of a place are counted, and named afterwards in order of start.

    A bay is not made ready between two stays of one visit. Where a later stay of the visit comes to a bay that is not
    yet ready after an earlier one, the bay is handed on: it is held until that later stay starts.
    """

    name: RuleName = "bay"

    def constrain(self, model: DayModel) -> None:
        held: dict[tuple[str, ...], list[Held]] = {}
        for stay in model.all_stays():
            for place_id, literal in stay.at_place.items():
                classes = bay_classes(model.day, model.day.place_by_id[place_id])
                model.in_bay[stay.visit.id, stay.number, place_id] = model.choice(
                    f"{stay.visit.id}/{stay.number} bay in {place_id}",
                    {bays: _is_in(stay, bays) for bays in classes},
                    literal,
                )
        for stays in model.stays.values():
            self._hold(model, stays, held)
        for bays, holds in held.items():
            model.at_most(len(bays), holds)

    def _hold(self, model: DayModel, stays: list[StayModel], held: dict[tuple[str, ...], list[Held]]) -> None:
        turnover = model.day.bay_turnover_min
        handed_on: dict[tuple[int, tuple[str, ...]], list[tuple[StayModel, Literal]]] = {}
        received: dict[int, list[Literal]] = {}
        if turnover:
            for one, later in combinations(stays, 2):
                for bays, literal in self._shared(model, one, later):
                    handed_on.setdefault((one.number, bays), []).append((later, literal))
                    received.setdefault(later.number, []).append(literal)
        for literals in received.values():
            model.cp.add(sum(literals) <= 1)
        for stay in stays:
            owner = "" if turnover else stay.visit.id
            for place_id in stay.at_place:
                for bays, literal in model.in_bay[stay.visit.id, stay.number, place_id].items():
                    onward = handed_on.get((stay.number, bays), [])
                    held.setdefault(bays, []).append(Held(self._interval(model, stay, literal, onward, bays), 1, owner))

    def _shared(self, model: DayModel, one: StayModel, later: StayModel) -> list[tuple[tuple[str, ...], Literal]]:
        """For each class of bays that both stays may have, the literal that the first hands its bay to the later."""
        found = []
        for place_id in one.at_place:
            if place_id not in later.at_place:
                continue
            mine = model.in_bay[one.visit.id, one.number, place_id]
            theirs = model.in_bay[one.visit.id, later.number, place_id]
            for bays, literal in mine.items():
                name = f"{one.visit.id} bay {one.number} to {later.number} in {bays}"
                handed = model.boolean(name, _hands_on(model.day, one, later, bays))
                model.cp.add_implication(handed, literal)
                model.cp.add_implication(handed, theirs[bays])
                model.bay_handed_on.setdefault((one.visit.id, one.number, later.number), []).append(handed)
                found.append((bays, handed))
        return found

    def _interval(
        self,
        model: DayModel,
        stay: StayModel,
        literal: Literal,
        onward: list[tuple[StayModel, Literal]],
        bays: tuple[str, ...],
    ) -> cp_model.IntervalVar:
        turnover = model.day.bay_turnover_min
        if not onward:
            return model.stay_interval(stay, literal, turnover)
        id, first, last = stay.visit.id, stay.parts[0], stay.parts[-1]
        name = f"{id}/{stay.number} in {bays}"
        minutes = sum(stay.visit.parts[i].minutes for i in stay.parts)

        def held_until(plan: Facts) -> int:
            if plan.placed(id) is None:
                return minutes
            for later, _ in onward:
                if _hands_on(model.day, stay, later, bays)(plan):
                    return plan.start(id, later.parts[0])
            return plan.end(id, last) + turnover

        def made_ready(plan: Facts) -> int:
            handed = any(_hands_on(model.day, stay, later, bays)(plan) for later, _ in onward)
            return int(plan.bay(id, first) in bays and not handed)

        longest = 2 * DAY_MIN + turnover
        until = model.integer(f"{name} until", 0, longest, held_until)
        size = model.integer(f"{name} size", 0, longest, lambda plan: held_until(plan) - plan.start(id, first))
        ready = model.boolean(f"{name} made ready", made_ready)
        model.cp.add(ready + sum(handed for _, handed in onward) == literal)
        model.cp.add(until == stay.end + turnover).only_enforce_if(ready)
        for later, handed in onward:
            model.cp.add(until == later.start).only_enforce_if(handed)
        return model.cp.new_optional_interval_var(stay.start, size, until, literal, name)


def _is_in(stay: StayModel, bays: tuple[str, ...]) -> ReadOff:
    return lambda plan: int(plan.bay(stay.visit.id, stay.parts[0]) in bays)


def _hands_on(day: Day, one: StayModel, later: StayModel, bays: tuple[str, ...]) -> ReadOff:
    """Reads off a plan whether the later stay is the visit's next in the same bay, and comes before it is ready."""

    def read_off(plan: Facts) -> int:
        id = one.visit.id
        bay = plan.bay(id, one.parts[0])
        if bay is None or bay not in bays:
            return 0
        further = range(one.parts[-1] + 1, len(one.visit.parts))
        following = next((i for i in further if plan.bay(id, i) == bay), None)
        if following != later.parts[0]:
            return 0
        return int(plan.start(id, following) < plan.end(id, one.parts[-1]) + day.bay_turnover_min)

    return read_off
