"""What each unit did: patients at once, charging, its battery's lowest level, and the use of all its channels."""

from collections.abc import Sequence

from solver.clinic import Unit
from solver.problem import Day
from solver.report.channels import in_service_min
from solver.report.crowd import minutes_at_once
from solver.report.figures import ChannelFigures, UnitFigures
from solver.report.ratios import utilisation
from solver.schedule import Plan
from solver.stays import Stay
from solver.verify.energy import battery_trace


def unit_figures(day: Day, plan: Plan, stays: Sequence[Stay], channels: Sequence[ChannelFigures]) -> list[UnitFigures]:
    return [
        _unit(day, plan, unit, stays, [figures for figures in channels if figures["unit"] == unit.id])
        for unit in day.units
    ]


def _unit(day: Day, plan: Plan, unit: Unit, stays: Sequence[Stay], channels: Sequence[ChannelFigures]) -> UnitFigures:
    in_service = in_service_min(day, unit)
    at_once = minutes_at_once((stay.interval for stay in stays if stay.unit == unit.id), day.open_interval)
    charging, lowest = _battery(day, plan, unit)
    return {
        "id": unit.id,
        "in_service_min": in_service,
        "occupied_min": sum(minutes for count, minutes in at_once.items() if count >= 1),
        "parallel_min": sum(minutes for count, minutes in at_once.items() if count >= 2),
        "peak_patients": max(at_once),
        "charging_min": charging,
        "lowest_pct": lowest,
        "raw": utilisation(sum(figures["running_min"] for figures in channels), in_service * len(channels)),
        "adjusted": utilisation(sum(figures["held_min"] for figures in channels), in_service * len(channels)),
    }


def _battery(day: Day, plan: Plan, unit: Unit) -> tuple[int, float | None]:
    """Minutes of charging, and the lowest level after any minute in percent of capacity."""
    trace = battery_trace(day, plan, unit)
    if unit.battery is None or trace is None:
        return 0, None
    full = unit.battery.full_wmin
    lowest = round(100 * min(trace.levels) / full, 2) if full else 0.0
    return sum(span.minutes for span in trace.charging), lowest
