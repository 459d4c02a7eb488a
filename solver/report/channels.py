"""What each channel did: minutes it ran, and minutes it was held from a part's start to its end."""

from collections.abc import Iterator

from solver.clinic import Channel, Unit
from solver.clock import Interval, union_minutes
from solver.problem import Day
from solver.report.figures import ChannelFigures
from solver.report.ratios import utilisation
from solver.schedule import PlacedPart, Plan
from solver.visits import Part


def channel_figures(day: Day, plan: Plan) -> list[ChannelFigures]:
    return [_channel(day, plan, unit, channel) for unit in day.units for channel in unit.channels]


def in_service_min(day: Day, unit: Unit) -> int:
    """Minutes of the unit's hours between open and close."""
    return union_minutes(
        Interval(max(start, day.open), min(end, day.close))
        for start, end in day.unit_hours(unit)
        if max(start, day.open) < min(end, day.close)
    )


def _channel(day: Day, plan: Plan, unit: Unit, channel: Channel) -> ChannelFigures:
    parts = list(parts_on(day, plan, unit.id, channel.id))
    in_service = in_service_min(day, unit)
    running = union_minutes(
        interval for part, placed in parts for phase, interval in part.phases_at(placed.start) if phase.running
    )
    held = union_minutes(Interval(placed.start, placed.start + part.minutes) for part, placed in parts)
    return {
        "unit": unit.id,
        "id": channel.id,
        "in_service_min": in_service,
        "running_min": running,
        "held_min": held,
        "raw": utilisation(running, in_service),
        "adjusted": utilisation(held, in_service),
    }


def parts_on(day: Day, plan: Plan, unit: str, channel: str) -> Iterator[tuple[Part, PlacedPart]]:
    for visit in plan.visits:
        for part, placed in zip(day.visit_by_id[visit.id].parts, visit.parts, strict=True):
            if placed.unit == unit and any(channel in ids for ids in placed.channels.values()):
                yield part, placed
