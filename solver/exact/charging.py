"""A unit's battery in the exact model, by slots of the day's grid: every plan that keeps the reserve is allowed.

A slot may charge where no stay is on the unit in any of its minutes, in runs that are as long as a shortest charge has
whole slots; the minutes between the last stay and such a run charge too. What a stay draws is taken at the end of the
slot in which it ends, and there the level is judged. A pump that a stay has to itself is drawn as a whole, else as if
as many shared it as ever can.

A unit does not charge in the slots just before it is at another place than before, where those are as long as a move,
nor in the one in which it then is there: a stay begins in it.

What is too much all the same is for ``BatteryRule.learn``: slots see at once what would take hundreds of its lessons.
"""

from collections.abc import Sequence
from functools import lru_cache
from typing import TypeAlias

from ortools.sat.python import cp_model

from solver.clinic import Battery, Unit
from solver.exact.endings import Ending, Endings
from solver.exact.facts import Facts
from solver.exact.held import Held
from solver.exact.hinted import Literal
from solver.exact.model import DayModel
from solver.exact.slots import Course, Slots

Amount: TypeAlias = cp_model.LinearExpr | int
MOST_ENDINGS = 5_000
"""With more ways for stays to end the slots of a unit are left out: on a day of 110 visits with wide windows they took
a quarter of a gigabyte."""


class ChargingSlots:
    """The slots of one unit with a battery, in the model of a day."""

    def __init__(self, model: DayModel, unit: Unit, battery: Battery) -> None:
        self.model = model
        self.unit = unit
        self.battery = battery
        self._slots = Slots(model.day, battery)
        self._endings = Endings(model, unit, battery, self._slots)
        self._course = lru_cache(maxsize=1)(self._course_of)  # every slot asks about the same plan

    def constrain(self) -> None:
        """Add the slots to the model, unless stays could end in too many ways."""
        if self._endings.count > MOST_ENDINGS:
            return
        endings = self._endings.constrain()
        charging = self._charging()
        self._keep_off_while_moving(charging)
        begins = self._begins(charging)
        level: Amount = self._slots.first_level
        for number, ended in enumerate(endings):
            before = self._before(number, begins, endings[number - 1]) if number and charging else 0
            level = self._level(number, level, charging[number] if charging else 0, before, ended)

    def _charging(self) -> list[Literal]:
        """A literal for each slot that it charges, and then no stay is on the unit; none without a charger."""
        if not self.battery.charge_w:
            return []
        model, unit, most = self.model, self.unit, self.unit.patients_at_once
        held = [
            Held(model.stay_interval(stay, stay.on_unit[unit.id]), 1, stay.visit.id) for stay in self._endings.stays
        ]
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

    def _keep_off_while_moving(self, charging: Sequence[Literal]) -> None:
        whereabouts = self.model.whereabouts.get(self.unit.id)
        if whereabouts is None:
            return
        for number in range(1, len(charging)):
            before = whereabouts.at[number - 1]
            for place, here in whereabouts.at[number].items():
                for off in charging[max(0, number - self._slots.on_the_way) : number + 1]:
                    self.model.cp.add_bool_or([~here, before[place], ~off])

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
            cp.add(found >= slots.asked_for(ending.early)).only_enforce_if(ending.literal)
        return found

    def _course_of(self, plan: Facts) -> Course:
        """What the plan makes of the slots."""
        return self._slots.course(self._endings.drains(plan))
