"""Invented clinics for the bench: units, applicators, places and staff. Watts and cleaning minutes are made up too."""

from random import Random

from solver.clinic import Applicator, Battery, Break, Channel, Place, StaffMember, Unit
from solver.clock import Interval
from tests.bench.sizes import Size

LAYOUTS: tuple[tuple[tuple[str, ...], ...], ...] = (
    (("ultrasound",), ("pads", "cups"), ("pads",)),
    (("ultrasound", "pads"), ("pads", "cups"), ("cups",)),
    (("ultrasound",), ("pads",), ("pads", "cups"), ("pads", "cups")),
    (("ultrasound",), ("ultrasound", "pads"), ("pads",)),
)
"""What the channels of a unit drive. The first two have every output, and classes of channels that overlap."""


def places_of(size: Size) -> tuple[Place, ...]:
    """Rooms of three bays; every other one is step-free."""
    return tuple(
        Place(
            id=f"room-{n}",
            bays=tuple(f"R{n}{letter}" for letter in "abc"),
            tags=("step-free",) if n % 2 else (),
        )
        for n in range(1, size.places + 1)
    )


def units_of(size: Size, places: tuple[Place, ...], random: Random) -> tuple[Unit, ...]:
    """Units of four layouts in turn: of every two one moves between two places on a battery, the other mostly not."""
    units = []
    for n in range(size.units):
        layout = LAYOUTS[n % len(LAYOUTS)]
        home = n * len(places) // size.units
        moves = n % 2 == 0
        standing = (places[home], places[(home + 1) % len(places)]) if moves else (places[home],)
        units.append(
            Unit(
                id=f"unit-{n + 1}",
                channels=tuple(Channel(id=f"c{c}", drives=drives) for c, drives in enumerate(layout, start=1)),
                patients_at_once=3 if len(layout) > 3 else 2,
                places=tuple(place.id for place in standing),
                battery=_battery(layout, random) if moves else None,
            )
        )
    return tuple(units)


def _battery(layout: tuple[tuple[str, ...], ...], random: Random) -> Battery:
    """A battery that lasts for two or three visits in a row and then has to be charged between others."""
    watts = {"ultrasound": random.randint(20, 26), "pads": random.randint(9, 13), "cups": random.randint(12, 16)}
    outputs = sorted({output for drives in layout for output in drives})
    return Battery(
        capacity_wh=random.randint(28, 40),
        start_pct=random.choice((80, 90, 100)),
        reserve_pct=random.choice((20, 25)),
        standby_w=random.randint(6, 9),
        draw_w={output: watts[output] for output in outputs},
        pump_w=random.randint(14, 18),
        charge_w=random.randint(50, 65),
        min_charge_min=random.choice((10, 15)),
    )


def applicators_of(size: Size, units: tuple[Unit, ...]) -> tuple[Applicator, ...]:
    """Few items, so that they are waited for: each has to be cleaned and dried before the next visit."""
    with_cups = tuple(unit.id for unit in units if any("cups" in channel.drives for channel in unit.channels))
    return (
        _pool("heads", size.units, turnaround=10),
        _pool("small-heads", max(1, size.units // 4), turnaround=15, fits=tuple(unit.id for unit in units[1::2])),
        _pool("pad-sets", 2 * size.units, turnaround=10),
        _pool("cup-sets", len(with_cups) + size.units // 4, turnaround=20, fits=with_cups),
    )


def _pool(id: str, count: int, *, turnaround: int, fits: tuple[str, ...] | None = None) -> Applicator:
    items = tuple(f"{id}-{n}" for n in range(1, count + 1))
    return Applicator(id=id, items=items, turnaround_min=turnaround, fits=fits)


def staff_of(size: Size, random: Random) -> tuple[StaffMember, ...]:
    """Therapists, all with `ultrasound` and two in three with `suction`, and assistants; breaks of 15 or 30 minutes."""
    return tuple(
        StaffMember(
            id=f"T{n + 1}" if n < size.therapists else f"A{n + 1 - size.therapists}",
            kind="therapist" if n < size.therapists else "assistant",
            skills=() if n >= size.therapists else ("ultrasound", "suction") if n % 3 != 2 else ("ultrasound",),
            hours=_hours(size, n, random),
            breaks=_breaks(size, random),
            watch_free=3 if n < size.therapists else 4,
            watch_busy=1 if n < size.therapists else 2,
        )
        for n in range(size.staff)
    )


def _hours(size: Size, number: int, random: Random) -> tuple[Interval, ...]:
    """All day for two in three; the others come later or go sooner by up to an hour."""
    trimmed = random.randrange(15, 61, 15) if number % 3 == 2 else 0
    late = random.random() < 0.5
    return (Interval(size.open + late * trimmed, size.close - (not late) * trimmed),)


def _breaks(size: Size, random: Random) -> tuple[Break, ...]:
    """One break about the middle of the day, and in a long day another before it; both may move by an hour or more."""
    middle = (size.open + size.close) // 2 + random.randrange(-30, 31, 15)
    breaks = [Break(minutes=30, between=Interval(middle - 60, middle + 60))]
    if size.close - size.open >= 9 * 60:
        start = size.open + random.randrange(90, 121, 15)
        breaks.append(Break(minutes=15, between=Interval(start, start + 75)))
    return tuple(breaks)
