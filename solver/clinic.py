"""The clinic of a day file as types: its units, applicators, places and staff.

Every class checks itself as it is built and raises InputError with every fault it finds. Minutes count from midnight;
intervals are half-open; watts and minutes are whole numbers.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from solver.checks import filled, interval, intervals, listed, repeated, whole
from solver.clock import Interval
from solver.errors import Fault, refuse_if
from solver.names import StaffKind


@dataclass(frozen=True, slots=True, kw_only=True)
class Channel:
    """An independent output channel of a unit; it drives one of its outputs at a time."""

    id: str
    drives: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Battery:
    """A unit's battery. Energies of the methods are in watt-minutes."""

    capacity_wh: int
    reserve_pct: int
    standby_w: int
    draw_w: Mapping[str, int]
    charge_w: int
    start_pct: int = 100
    pump_w: int = 0
    min_charge_min: int = 15

    def __post_init__(self) -> None:
        refuse_if(
            [
                *whole("capacity_wh", self.capacity_wh),
                *whole("start_pct", self.start_pct, 0, 100),
                *whole("reserve_pct", self.reserve_pct, 0, 100),
                *whole("standby_w", self.standby_w),
                *(fault for key, value in self.draw_w.items() for fault in whole(f"draw_w.{key}", value)),
                *whole("pump_w", self.pump_w),
                *whole("charge_w", self.charge_w),
                *whole("min_charge_min", self.min_charge_min),
            ]
        )

    @property
    def full_wmin(self) -> int:
        return self.capacity_wh * 60

    @property
    def start_wmin(self) -> int:
        return self.full_wmin * self.start_pct // 100

    @property
    def reserve_wmin(self) -> int:
        return -(-self.full_wmin * self.reserve_pct // 100)


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """One therapy unit on a trolley. ``hours`` None: in service from open to close."""

    id: str
    channels: tuple[Channel, ...]
    patients_at_once: int
    places: tuple[str, ...]
    name: str = ""
    hours: tuple[Interval, ...] | None = None
    battery: Battery | None = None

    def __post_init__(self) -> None:
        faults = [
            *filled("channels", self.channels, "channel"),
            *repeated(listed("channels", [channel.id for channel in self.channels], ".id")),
            *whole("patients_at_once", self.patients_at_once, 1),
            *intervals("hours", self.hours or ()),
        ]
        if self.battery is not None:
            faults += [
                Fault("battery.draw_w", f"no watts for {output!r}", "give watts for every output the unit drives")
                for output in sorted({output for channel in self.channels for output in channel.drives})
                if output not in self.battery.draw_w
            ]
        refuse_if(faults)
        if not self.name:
            object.__setattr__(self, "name", self.id)

    def channel(self, id: str) -> Channel | None:
        return next((channel for channel in self.channels if channel.id == id), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Applicator:
    """A pool of items that are alike. ``fits`` None: every unit."""

    id: str
    items: tuple[str, ...]
    turnaround_min: int
    name: str = ""
    fits: tuple[str, ...] | None = None

    def __post_init__(self) -> None:
        refuse_if(whole("turnaround_min", self.turnaround_min))
        if not self.name:
            object.__setattr__(self, "name", self.id)


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Bays so close together that one unit's leads reach them all."""

    id: str
    bays: tuple[str, ...]
    name: str = ""
    tags: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        refuse_if(filled("bays", self.bays, "bay"))
        if not self.name:
            object.__setattr__(self, "name", self.id)


@dataclass(frozen=True, slots=True, kw_only=True)
class Break:
    """A break of ``minutes`` that is taken somewhere within ``between``."""

    minutes: int
    between: Interval

    def __post_init__(self) -> None:
        refuse_if([*whole("min", self.minutes, 1), *interval("between", self.between)])


@dataclass(frozen=True, slots=True, kw_only=True)
class StaffMember:
    """A therapist or an assistant, with how many unattended parts they can watch with free and with busy hands."""

    id: str
    kind: StaffKind
    hours: tuple[Interval, ...]
    name: str = ""
    skills: tuple[str, ...] = ()
    breaks: tuple[Break, ...] = ()
    watch_free: int = 0
    watch_busy: int = 0

    def __post_init__(self) -> None:
        watch = [*whole("watch_free", self.watch_free), *whole("watch_busy", self.watch_busy)]
        if not watch and self.watch_busy > self.watch_free:
            watch.append(
                Fault("watch_busy", f"{self.watch_busy} is more than watch_free", f"give at most {self.watch_free}")
            )
        refuse_if([*intervals("hours", self.hours), *watch])
        if not self.name:
            object.__setattr__(self, "name", self.id)
