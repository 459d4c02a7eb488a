"""A unit's battery in the exact model, by slots of the day's grid: every plan that keeps the reserve is allowed.

A slot may charge where no stay is on the unit in any of its minutes, in runs that are as long as a shortest charge has
whole slots; the minutes between the last stay and such a run charge too. What a stay draws is taken at the end of the
slot in which it ends, and there the level is judged, less what standing by takes in a slot.

Moves are left aside, so that to take a visit out never breaks it, and pumps are shared by as many stays as ever can.
What is too much all the same is for ``BatteryRule.learn``: slots see at once what would take hundreds of its lessons.
"""

from collections.abc import Sequence
from typing import NamedTuple, TypeAlias

from ortools.sat.python import cp_model

from solver.clinic import Battery, Unit
from solver.clock import DAY_MIN, Interval
from solver.exact.facts import Facts
from solver.exact.held import Held
from solver.exact.hinted import Literal
from solver.exact.model import DayModel, StayModel
from solver.exact.slots import Course, Drain, Slots
from solver.masks.energy import load_of

Amount: TypeAlias = cp_model.LinearExpr | int
MOST_ENDINGS = 5_000
"""With more ways for stays to end the slots of a unit are left out: on a day of 110 visits with wide windows they took
a quarter of a gigabyte."""


class Ending(NamedTuple):
    """One way for a stay to end on the unit, ``early`` minutes before the end of a slot."""

    literal: Literal
    drawn_wmin: int
    early: int


class ChargingSlots:
    """The slots of one unit with a battery, in the model of a day."""

    def __init__(self, model: DayModel, unit: Unit, battery: Battery) -> None:
        self.model = model
        self.unit = unit
        self.battery = battery
        self._slots = Slots(model.day, battery)
        self._stays = [stay for stay in model.all_stays() if unit.id in stay.on_unit]
        sharing = self._most_pumping()
        self._drawn = {(stay.visit.id, stay.number): self._least_drawn(stay, sharing) for stay in self._stays}
        self._read: tuple[Facts, Course] | None = None

    def constrain(self) -> None:
        """Add the slots to the model, unless stays could end in too many ways."""
        starts = [self._last_starts(stay) for stay in self._stays]
        if sum(map(len, starts)) > MOST_ENDINGS:
            return
        endings: list[list[Ending]] = [[] for _ in range(self._slots.count)]
        for stay, minutes in zip(self._stays, starts, strict=True):
            self._end(stay, minutes, endings)
        charging = self._charging()
        begins = self._begins(charging)
        level: Amount = self.battery.start_wmin
        for number, ending in enumerate(endings):
            before = self._before(number, begins, endings[number - 1]) if number and charging else 0
            level = self._level(number, level, charging[number] if charging else 0, before, ending)

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

    def _least_drawn(self, stay: StayModel, sharing: int) -> int:
        """The least watt-minutes that the stay draws, standby left aside, where so many share the pump."""
        load = load_of(self.battery, Interval(0, 0), "", [(stay.visit.parts[i], 0) for i in stay.parts])
        pumping = sum(minutes.minutes for minutes in load.pump)
        return load.drawn_wmin + pumping * self.battery.pump_w // sharing

    def _most_pumping(self) -> int:
        """No more stays than this have the unit's pump at once."""
        parts = [stay.visit.parts[i] for stay in self._stays for i in stay.parts]
        pumped = [part.channels for part in parts if part.suction_kpa is not None]
        driving = [
            sum(output in channel.drives for channel in self.unit.channels)
            for output in (pumped[0] if pumped else ())
            if all(output in channels for channels in pumped)
        ]
        return max(1, min([self.unit.patients_at_once, *driving]))

    def _end(self, stay: StayModel, starts: Sequence[int], endings: list[list[Ending]]) -> None:
        """Where the stay is on the unit it has one of its endings there; each is put with those of its slot."""
        model, id, last, unit = self.model, stay.visit.id, stay.parts[-1], self.unit.id
        literals = []
        for start in starts:
            number, early = self._slots.of_end(start + stay.visit.parts[last].minutes)
            if not 0 <= number < len(endings):
                continue

            def ends_so(plan: Facts, start: int = start) -> int:
                return int(plan.unit(id, last) == unit and plan.start(id, last) == start)

            literal = model.boolean(f"{id}/{last} from {start} on {unit}", ends_so)
            model.cp.add(model.starts[id][last] == start).only_enforce_if(literal)
            endings[number].append(Ending(literal, self._drawn[id, stay.number], early))
            literals.append(literal)
        model.cp.add(sum(literals) == stay.on_unit[unit])

    def _charging(self) -> list[Literal]:
        """A literal for each slot that it charges, and then no stay is on the unit; none without a charger."""
        if not self.battery.charge_w:
            return []
        model, unit, most = self.model, self.unit, self.unit.patients_at_once
        held = [Held(model.stay_interval(stay, stay.on_unit[unit.id]), 1, stay.visit.id) for stay in self._stays]
        literals = []
        for number in range(self._slots.count):
            name = f"{unit.id} charges in {number}"
            literal = model.boolean(name, lambda plan, n=number: int(self._course(plan).charging[n]))  # type: ignore[misc]
            start = self._slots.start(number)
            slot = model.cp.new_optional_fixed_size_interval_var(start, self._slots.minutes, literal, name)
            held.append(Held(slot, most))
            literals.append(literal)
        model.at_most(most, held)
        return literals

    def _begins(self, charging: Sequence[Literal]) -> list[Literal]:
        """A literal for each slot that a run begins with it; it then lasts for a shortest charge."""
        cp, found = self.model.cp, list(charging[:1])
        for number in range(1, len(charging)):
            ahead, here = charging[number - 1], charging[number]
            begins = self.model.boolean(
                f"{self.unit.id} charges from {number}",
                lambda plan, n=number: int(self._course(plan).begins(n)),  # type: ignore[misc]
            )
            cp.add_implication(begins, here)
            cp.add_implication(begins, ~ahead)
            cp.add_bool_or([begins, ~here, ahead])
            found.append(begins)
        for number, begins in enumerate(found):
            for further in range(number + 1, number + self._slots.shortest):
                if further < len(found):
                    cp.add_implication(begins, charging[further])
                else:
                    cp.add(begins == 0)
        return found

    def _before(self, number: int, begins: Sequence[Literal], ended: Sequence[Ending]) -> Amount:
        """Minutes that charge between the end of the stays of the slot before and this one."""
        most = max((ending.early for ending in ended), default=0)
        if most == 0:
            return 0
        name = f"{self.unit.id} charges before {number}"
        minutes = self.model.integer(name, 0, most, lambda plan: self._course(plan).before[number])
        if self._slots.shortest:
            self.model.cp.add(minutes == 0).only_enforce_if(~begins[number])
        self.model.cp.add(minutes <= sum(ending.early * ending.literal for ending in ended))
        for ending in ended:
            if ending.early < most:
                self.model.cp.add(minutes <= ending.early).only_enforce_if(ending.literal)
        return minutes

    def _level(
        self,
        number: int,
        level: Amount,
        charging: Amount,
        before: Amount,
        ended: Sequence[Ending],
    ) -> cp_model.IntVar:
        """The level at the end of the slot, from the one ahead."""
        slots, cp = self._slots, self.model.cp
        found = self.model.integer(
            f"{self.unit.id} level {number}",
            slots.lowest,
            self.battery.full_wmin,
            lambda plan: self._course(plan).levels[number],
        )
        gained = slots.gained(charging=True) * charging + slots.gained(charging=False) * (1 - charging)
        drawn = sum(ending.drawn_wmin * ending.literal for ending in ended)
        cp.add(found <= level + gained + slots.gained_before * before - drawn)
        for ending in ended:
            cp.add(found >= slots.asked_for).only_enforce_if(ending.literal)
        return found

    def _course(self, plan: Facts) -> Course:
        """What the plan makes of the slots."""
        if self._read is None or self._read[0] is not plan:
            drains = [
                Drain(taken, self._drawn[stay.visit.id, stay.number])
                for stay in self._stays
                if plan.unit(stay.visit.id, stay.parts[0]) == self.unit.id
                and (taken := plan.stay(stay.visit.id, stay.parts[0], stay.parts[-1])) is not None
            ]
            self._read = plan, self._slots.course(drains)
        return self._read[1]
