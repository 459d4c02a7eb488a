"""The rule ``battery``: the reserve is kept while a stay is on the unit.

A level minute by minute would swamp the model. Instead each plan that the model finds is reckoned exactly, and where a
battery runs too low the model learns why: a smallest set of stays that together draw too much, and how far each of them
could shift without helping (logic-based Benders cuts: Hooker & Ottosson, "Logic-based Benders decomposition",
Mathematical Programming 96, 2003).

Moves left aside, taking a stay away never lowers a level, so no plan holds such a set. A move is different: a further
stay at the new place can let a unit charge there that would else arrive unplugged. What only fails because of moves is
forbidden as it is, with no further stay on the unit.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from ortools.sat.python import cp_model

from solver.clinic import Battery, Unit
from solver.clock import Interval, union_minutes
from solver.exact.charging import ChargingSlots
from solver.exact.facts import Facts
from solver.exact.hinted import Literal
from solver.exact.model import DayModel, StayModel
from solver.masks.energy import Load, keeps_reserve, load_of
from solver.names import RuleName
from solver.schedule import Plan


@dataclass(frozen=True, slots=True)
class Box:
    """A stay and the starts and ends that it may take: earliest and latest of each."""

    load: Load
    starts: Interval
    ends: Interval


class BatteryRule:
    name: RuleName = "battery"

    def constrain(self, model: DayModel) -> None:
        """By slots where the model has the other rules, on which slots rest; ``learn`` adds what they do not see.

        A stay that drains a full battery by itself is never on the unit.
        """
        for unit in model.day.units:
            if unit.battery is None or unit.battery.reserve_wmin == 0:
                continue
            if not model.without:
                ChargingSlots(model, unit, unit.battery).constrain()
            for stay in model.stays_on(unit.id):
                if self._least_draw(unit.battery, stay) > _usable(unit.battery):
                    model.cp.add(stay.on_unit[unit.id] == 0)

    def _least_draw(self, battery: Battery, stay: StayModel) -> int:
        parts = [(stay.visit.parts[i], 0) for i in stay.parts]
        minutes = sum(part.minutes for part, _ in parts)
        return load_of(battery, Interval(0, minutes), "", parts).drawn_wmin + battery.standby_w * minutes

    def learn(self, model: DayModel, plan: Plan) -> bool:
        """Forbid why the plan's batteries run too low; False where they keep their reserve."""
        facts, learnt = Facts(model.day, plan), False
        for unit in model.day.units:
            if unit.battery is not None:
                stays = [
                    (stay, self._load(facts, stay, unit.battery))
                    for stay in model.all_stays()
                    if facts.unit(stay.visit.id, stay.parts[0]) == unit.id
                ]
                while not keeps_reserve(unit.battery, model.day.open, model.day.move_min, [load for _, load in stays]):
                    why = self._forbid(model, unit, unit.battery, stays)
                    learnt = True
                    # The same plan without one of them may run too low for another reason still.
                    stays = [pair for pair in stays if pair is not why[-1]]
        return learnt

    def _load(self, facts: Facts, stay: StayModel, battery: Battery) -> Load:
        id, first, last = stay.visit.id, stay.parts[0], stay.parts[-1]
        parts = [(stay.visit.parts[i], facts.start(id, i)) for i in stay.parts]
        span = Interval(facts.start(id, first), facts.end(id, last))
        return load_of(battery, span, facts.place(id, first) or "", parts)

    def _forbid(
        self, model: DayModel, unit: Unit, battery: Battery, stays: Sequence[tuple[StayModel, Load]]
    ) -> Sequence[tuple[StayModel, Load]]:
        """Forbid a smallest set of these stays that together draw too much; answers with it."""
        if _keeps_unmoved(model, battery, stays):
            self._forbid_exactly(model, unit, stays)
            return stays
        smallest = list(stays)
        for one in stays:
            rest = [other for other in smallest if other is not one]
            if not _keeps_unmoved(model, battery, rest):
                smallest = rest
        boxes = self._widened(model, battery, [load for _, load in smallest])
        escapes: list[cp_model.LiteralT] = []
        for (stay, _), box in zip(smallest, boxes, strict=True):
            escapes.append(stay.on_unit[unit.id].Not())
            escapes += self._outside(model, stay, box)
        model.cp.add_bool_or(escapes)
        return smallest

    def _forbid_exactly(self, model: DayModel, unit: Unit, stays: Sequence[tuple[StayModel, Load]]) -> None:
        """Something about these stays changes: a place, a start, or a further stay on the unit."""
        escapes: list[cp_model.LiteralT] = []
        for stay, load in stays:
            escapes.append(stay.at[unit.id, load.place].Not())
            escapes += self._outside(model, stay, _point(load))
        here = {(stay.visit.id, stay.number) for stay, _ in stays}
        escapes += [
            stay.on_unit[unit.id] for stay in model.stays_on(unit.id) if (stay.visit.id, stay.number) not in here
        ]
        model.cp.add_bool_or(escapes)

    def _outside(self, model: DayModel, stay: StayModel, box: Box) -> list[Literal]:
        """Literals that each put the stay out of its box: earlier, later, and for several parts longer or shorter."""
        bounds = {stay.parts[0]: box.starts}
        if len(stay.parts) > 1:
            minutes = stay.visit.parts[stay.parts[-1]].minutes
            bounds[stay.parts[-1]] = Interval(box.ends.start - minutes, box.ends.end - minutes)
        found = []
        for index, (earliest, latest) in bounds.items():
            start = model.starts[stay.visit.id][index]
            early, late = self._beside(model, stay.visit.id, index, earliest, latest)
            model.cp.add(start <= earliest - 1).only_enforce_if(early)
            model.cp.add(start >= latest + 1).only_enforce_if(late)
            found += [early, late]
        return found

    def _beside(self, model: DayModel, id: str, index: int, earliest: int, latest: int) -> tuple[Literal, Literal]:
        """Literals that the part starts before ``earliest``, and after ``latest``."""

        def early(plan: Facts) -> int:
            return int(plan.start(id, index) < earliest)

        def late(plan: Facts) -> int:
            return int(plan.start(id, index) > latest)

        return (
            model.boolean(f"{id}/{index} before {earliest}", early),
            model.boolean(f"{id}/{index} after {latest}", late),
        )

    def _widened(self, model: DayModel, battery: Battery, loads: Sequence[Load]) -> list[Box]:
        """Boxes around the stays, as wide as still proves that the reserve is broken."""
        day, step = model.day, model.day.step_min
        boxes = [_point(load) for load in loads]
        growing = [(i, way) for i in range(len(boxes)) for way in ((-step, 0), (0, step))]
        while growing:
            i, way = growing.pop(0)
            wider = _wider(boxes[i], *way)
            tried = [*boxes[:i], wider, *boxes[i + 1 :]]
            within = wider.starts.start >= day.open and wider.ends.end <= day.close
            if within and proves_flat(battery, day.open, tried):
                boxes = tried
                growing.append((i, way))
        return boxes


def _keeps_unmoved(model: DayModel, battery: Battery, stays: Sequence[tuple[StayModel, Load]]) -> bool:
    """True where the reserve would be kept if moving took no time."""
    return keeps_reserve(battery, model.day.open, 0, [load for _, load in stays])


def _point(load: Load) -> Box:
    return Box(load, *(Interval(minute, minute) for minute in load.stay))


def _wider(box: Box, earliest: int, latest: int) -> Box:
    """The box with its earliest and latest minutes moved by so much."""
    starts, ends = (Interval(low + earliest, high + latest) for low, high in (box.starts, box.ends))
    return Box(box.load, starts, ends)


def _usable(battery: Battery) -> int:
    """Watt-minutes between a full battery and its reserve."""
    return battery.full_wmin - battery.reserve_wmin


def proves_flat(battery: Battery, opening: int, boxes: Sequence[Box]) -> bool:
    """True where the reserve is surely broken by the end of the last stay, wherever in their boxes the stays lie.

    From any minute on, the level is at most a full battery (at open: the start level), plus what can be charged while
    no stay is surely on the unit, less what the stays that begin later draw and what standby takes in the rest.
    """
    marks = [(opening, battery.start_wmin), *((box.starts.start, battery.full_wmin) for box in boxes)]
    surely_ended = max(box.ends.start for box in boxes)
    for since, level in marks:
        later = [box for box in boxes if box.starts.start >= since]
        charging, surely_on = _chargeable(battery, opening, since, boxes)
        on_standby = max(surely_on, surely_ended - since - charging)
        drawn = sum(box.load.drawn_wmin for box in later) + battery.pump_w * _pumping(later)
        most = level + battery.charge_w * charging - drawn - battery.standby_w * on_standby
        if most < battery.reserve_wmin:
            return True
    return False


def _chargeable(battery: Battery, opening: int, since: int, boxes: Sequence[Box]) -> tuple[int, int]:
    """From ``since``: the most minutes that can charge, and the minutes that a stay is surely on the unit."""
    until = max(box.ends.end for box in boxes)
    sure = [Interval(box.starts.end, box.ends.start) for box in boxes if box.starts.end < box.ends.start]
    charging, on, reached = 0, 0, opening
    for start, end in [*sorted(sure), Interval(until, until)]:
        if battery.charge_w and start - reached >= battery.min_charge_min:
            charging += max(0, start - max(reached, since))
        on += max(0, end - max(start, reached, since))
        reached = max(reached, end)
    return charging, on


def _pumping(boxes: Sequence[Box]) -> int:
    """The least minutes that the pump runs: those of stays that surely follow each other add up."""
    minutes, reached = 0, 0
    for box in sorted(boxes, key=lambda box: box.ends.end):
        if box.starts.start >= reached:
            minutes += union_minutes(box.load.pump)
            reached = box.ends.end
    return minutes
