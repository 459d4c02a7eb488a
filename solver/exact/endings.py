"""Ways for stays to end on a unit with a battery, a literal each, with what is drawn by then."""

from collections.abc import Sequence
from typing import NamedTuple

from solver.clinic import Battery, Unit
from solver.clock import DAY_MIN, Interval
from solver.exact.facts import Facts
from solver.exact.hinted import Literal, ReadOff
from solver.exact.model import DayModel, StayModel
from solver.exact.pumping import Pumping
from solver.exact.slots import Drain, Slots
from solver.masks.energy import load_of


class Draw(NamedTuple):
    """Watt-minutes that a stay draws at least, standby left aside: with the pump to itself, and where it is shared."""

    alone_wmin: int
    shared_wmin: int


class Ending(NamedTuple):
    """One way for a stay to end on the unit, ``early`` minutes before the end of a slot."""

    literal: Literal
    drawn_wmin: int
    early: int


class Endings:
    """The stays that may be on one unit."""

    def __init__(self, model: DayModel, unit: Unit, battery: Battery, slots: Slots) -> None:
        self.model = model
        self.unit = unit
        self.battery = battery
        self.stays = model.stays_on(unit.id)
        self._slots = slots
        self._pumping = Pumping(model, unit, self.stays)
        self._starts = [self._last_starts(stay) for stay in self.stays]
        self._drawn = {(stay.visit.id, stay.number): self._least_drawn(stay) for stay in self.stays}

    @property
    def count(self) -> int:
        """How many ways there are, those with a shared pump left aside."""
        return sum(map(len, self._starts))

    def constrain(self) -> list[list[Ending]]:
        """Add them to the model; for each slot those that end in it."""
        self._pumping.constrain()
        endings: list[list[Ending]] = [[] for _ in range(self._slots.count)]
        for stay, starts in zip(self.stays, self._starts, strict=True):
            self._end(stay, starts, endings)
        return endings

    def drains(self, plan: Facts) -> list[Drain]:
        """What the plan has on the unit."""
        found = []
        for stay in self.stays:
            taken = plan.stay_on(self.unit.id, stay.visit.id, stay.parts)
            if taken is not None:
                drawn = self._drawn[stay.visit.id, stay.number]
                watt_minutes = drawn.shared_wmin if self._pumping.shares(plan, stay) else drawn.alone_wmin
                found.append(Drain(taken, watt_minutes, plan.place(stay.visit.id, stay.parts[0]) or ""))
        return found

    def _last_starts(self, stay: StayModel) -> Sequence[int]:
        """The minutes at which the stay's last part may begin, by when the patient is free and what is fixed."""
        day, visit, last = self.model.day, stay.visit, stay.parts[-1]
        fixed = visit.fixed_part(last).start
        if fixed is not None:
            return (fixed,)
        ahead, behind = (sum(part.minutes for part in parts) for parts in (visit.parts[:last], visit.parts[last:]))
        allowed = [
            range(max(day.open, free.start) + ahead, min(day.close, free.end) - behind + 1)
            for free in visit.free or (Interval(day.open, day.close),)
        ]
        return [start for start in range(0, DAY_MIN, day.step_min) if any(start in free for free in allowed)]

    def _least_drawn(self, stay: StayModel) -> Draw:
        """Where the model does not say who shares a pump, it is as if as many shared it as ever can."""
        load = load_of(self.battery, Interval(0, 0), "", [(stay.visit.parts[i], 0) for i in stay.parts])
        pump_wmin = self.battery.pump_w * sum(minutes.minutes for minutes in load.pump)
        shared_wmin = load.drawn_wmin + pump_wmin // self._pumping.most_with(stay)
        return Draw(load.drawn_wmin + pump_wmin if self._pumping.told else shared_wmin, shared_wmin)

    def _end(self, stay: StayModel, starts: Sequence[int], endings: list[list[Ending]]) -> None:
        """Where the stay is on the unit it has one of its endings there; each is put with those of its slot."""
        model, id, last, unit = self.model, stay.visit.id, stay.parts[-1], self.unit.id
        beside, drawn = self._pumping.beside(stay), self._drawn[id, stay.number]
        sharing: list[Literal] = []
        alone: list[Literal] = []
        for start in starts:
            number, early = self._slots.of_end(start + stay.visit.parts[last].minutes)
            if not 0 <= number < len(endings):
                continue
            for shares in (False, True) if beside else (False,):
                name = f"{id}/{last} from {start} on {unit}{' with another at the pump' * shares}"
                literal = model.boolean(name, self._ends_so(stay, start, shares))
                model.cp.add(model.starts[id][last] == start).only_enforce_if(literal)
                drawn_wmin = drawn.shared_wmin if shares else drawn.alone_wmin
                endings[number].append(Ending(literal, drawn_wmin, early))
                (sharing if shares else alone).append(literal)
        model.cp.add(sum(sharing) + sum(alone) == stay.on_unit[unit])
        if sharing:
            model.cp.add(sum(sharing) <= sum(beside))

    def _ends_so(self, stay: StayModel, start: int, shares: bool) -> ReadOff:
        def read_off(plan: Facts) -> int:
            here = plan.unit(stay.visit.id, stay.parts[-1]) == self.unit.id
            from_then = here and plan.start(stay.visit.id, stay.parts[-1]) == start
            return int(from_then and self._pumping.shares(plan, stay) == shares)

        return read_off
