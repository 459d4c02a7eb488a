"""How long batteries lasted on a day that is over: each run from full until people said that it was empty, or until the
unit stood idle long enough to be charged. Charging is reckoned, as the battery rule has it; nothing is measured."""

from collections.abc import Collection, Mapping

from solver.clinic import Unit
from solver.clock import Interval
from solver.problem import Day
from solver.schedule import Plan
from solver.stays import Stay, stays_of
from solver.verify.energy import trace

Row = dict[str, int]


def batteries(day: Day, plan: Plan, empties: Mapping[str, Collection[int]]) -> dict[str, Row]:
    """By unit with a battery. The plan is what was given; ``empties``: by unit, the minutes at which it was said to be
    empty. What a day ends without is no run.

    ``empty``: runs from full until then, in which it ran ``empty_run_min`` and drew ``empty_drawn_wmin`` by the
    clinic's own watts; ``not_full``: times it was said to be empty that were no end of a run from full. ``charged``:
    runs from full that ended with a charge before, in which it ran ``charged_run_min``, ``peak_charged_run_min`` in the
    longest.
    """
    stays = stays_of(day, plan)
    return {
        unit.id: _unit(day, unit, [stay for stay in stays if stay.unit == unit.id], empties.get(unit.id, ()))
        for unit in day.units
        if unit.battery is not None
    }


def _unit(day: Day, unit: Unit, stays: list[Stay], empties: Collection[int]) -> Row:
    battery = unit.battery
    assert battery is not None
    traced = trace(day, battery, stays)
    running, charges = _minutes(_running(stays)), _minutes(traced.charging)
    row = dict.fromkeys(
        (
            "empty",
            "empty_run_min",
            "empty_drawn_wmin",
            "not_full",
            "charged",
            "charged_run_min",
            "peak_charged_run_min",
        ),
        0,
    )
    level, ran, drawn = battery.start_wmin, 0, 0
    from_full = level >= battery.full_wmin
    for minute, watts in enumerate(traced.drawn, start=day.open):
        if minute in empties:
            if from_full and ran:
                row["empty"] += 1
                row["empty_run_min"] += ran
                row["empty_drawn_wmin"] += drawn
            else:
                row["not_full"] += 1
            level, ran, drawn, from_full = 0, 0, 0, False
        if minute in charges:
            if from_full and ran:
                row["charged"] += 1
                row["charged_run_min"] += ran
                row["peak_charged_run_min"] = max(ran, row["peak_charged_run_min"])
            level, ran, drawn = min(battery.full_wmin, level + battery.charge_w), 0, 0
            from_full = level >= battery.full_wmin
        else:
            level, drawn = max(0, level - watts), drawn + watts
            ran += minute in running
    return row


def _running(stays: list[Stay]) -> list[Interval]:
    return [
        span
        for stay in stays
        for part, placed in stay.parts
        for phase, span in part.phases_at(placed.start)
        if phase.running
    ]


def _minutes(spans: Collection[Interval]) -> set[int]:
    return {minute for span in spans for minute in range(span.start, span.end)}
