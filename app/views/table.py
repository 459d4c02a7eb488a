"""The same content as the timeline, as tables: what is drawn there can be read here."""

from dataclasses import dataclass

from app.views.blocks import state_of
from app.views.moves import moves
from app.views.parts import Planned, PlannedPart
from app.views.staff import StaffRow
from app.views.units import UnitBand
from app.views.words import listed
from solver.clock import clock


@dataclass(frozen=True, slots=True)
class PartRow:
    key: str
    start: str
    end: str
    patient: str
    visit: str
    treatment: str
    unit: str
    channels: str
    where: str
    items: str
    phases: str
    state: str


@dataclass(frozen=True, slots=True)
class Table:
    """``header`` and ``rows`` of texts, under a ``caption``; ``empty`` is said where there are no rows."""

    caption: str
    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    empty: str


def part_rows(planned: Planned, wanted: frozenset[str], now: int | None) -> tuple[PartRow, ...]:
    """The parts that are asked for, by start."""
    return tuple(_part_row(planned, part, now) for part in planned.parts if part.key in wanted)


def _part_row(planned: Planned, part: PlannedPart, now: int | None) -> PartRow:
    day = planned.day
    phases = [
        f"{phase.minutes} min {day.staff_by_id[hands].name if hands else 'unattended' if phase.running else 'nobody'}"
        for phase, _, hands in part.phases()
    ]
    return PartRow(
        key=part.key,
        start=clock(part.interval.start),
        end=clock(part.interval.end),
        patient=part.visit.patient,
        visit=part.visit.id,
        treatment=", ".join(part.placed.channels)
        + (f" at {part.part.suction_kpa} kPa" if part.part.suction_kpa is not None else ""),
        unit=day.unit_by_id[part.placed.unit].name,
        channels=", ".join(part.outputs_by_channel),
        where=f"{day.place_by_id[part.placed.place].name}, {part.placed.bay}",
        items=", ".join(item for items in part.placed.items.values() for item in items),
        phases="; ".join(phases),
        state=state_of(part, now),
    )


def gap_table(units: tuple[UnitBand, ...]) -> Table:
    return Table(
        "Free time that could still be booked",
        ("Unit", "Channel", "Time", "Length", "Could hold, of this day’s treatments"),
        tuple(
            (unit.name, rail.channel, gap.times, gap.length, gap.holds)
            for unit in units
            for rail in unit.rails
            for gap in rail.gaps
        ),
        "No free stretch holds a treatment of this day.",
    )


def unit_table(planned: Planned, units: tuple[UnitBand, ...]) -> Table:
    names = planned.day.place_by_id
    wheeled = {
        unit.id: [f"{move.minutes} to {names[move.to_place].name}" for move in moves(planned) if move.unit == unit.id]
        for unit in units
    }
    return Table(
        "Units",
        ("Unit", "Place", "Moves", "Out of service", "Lowest battery", "Reserve", "Charging"),
        tuple(
            (
                unit.name,
                unit.places,
                listed(wheeled[unit.id]) or "none",
                ", ".join(span.text for span in unit.out) or "never",
                f"{unit.battery.lowest_pct} % at {unit.battery.lowest_at}" if unit.battery else "on mains",
                f"{unit.battery.reserve_pct} %" if unit.battery else "none needed",
                unit.battery.charging_text if unit.battery else "none needed",
            )
            for unit in units
        ),
        "No unit is asked for.",
    )


def staff_table(staff: tuple[StaffRow, ...]) -> Table:
    return Table(
        "Staff",
        ("Name", "Kind", "Hands-on", "Breaks", "Absent", "Watch"),
        tuple(
            (
                member.name,
                member.kind,
                f"{member.hands_min} min",
                ", ".join(span.text for span in member.breaks) or "none",
                ", ".join(span.text for span in member.absent) or "never",
                member.watch,
            )
            for member in staff
        ),
        "Nobody is asked for.",
    )
