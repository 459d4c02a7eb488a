"""A unit's battery through the day: level, reserve, charging. Levels are percentages of capacity."""

from dataclasses import dataclass

from app.views.parts import Planned
from app.views.scale import Scale, Span
from solver.clinic import Unit
from solver.clock import clock
from solver.verify.energy import battery_trace


@dataclass(frozen=True, slots=True)
class BatteryRow:
    """``area`` and ``line`` are SVG paths in minutes to the right and percent from the top (0: full, 100: empty)."""

    area: str
    line: str
    reserve_pct: int
    charging: tuple[Span, ...]
    charging_text: str
    now_pct: int | None
    lowest_pct: int
    lowest_at: str
    label: str


def battery_row(planned: Planned, unit: Unit, now: int | None) -> BatteryRow | None:
    """The battery of a unit; None where it runs on mains."""
    trace = battery_trace(planned.day, planned.plan, unit)
    if trace is None or unit.battery is None:
        return None
    full = unit.battery.full_wmin or 1
    day, scale = planned.day, Scale.of(planned.day)
    levels = [unit.battery.start_wmin, *trace.levels]
    percent = [level * 100 / full for level in levels]
    corners = _corners(percent)
    line = "M" + "L".join(f"{minute} {100 - percent[minute]:.2f}" for minute in corners)
    lowest = min(range(len(percent)), key=lambda minute: percent[minute])
    now_pct = None if now is None or not day.open <= now <= day.close else int(percent[now - day.open])
    reserve = unit.battery.reserve_pct
    return BatteryRow(
        area=f"{line}L{scale.minutes} 100L0 100Z",
        line=line,
        reserve_pct=reserve,
        charging=tuple(scale.span(interval) for interval in trace.charging),
        charging_text=", ".join(str(interval) for interval in trace.charging) or "never",
        now_pct=now_pct,
        lowest_pct=int(percent[lowest]),
        lowest_at=clock(day.open + lowest),
        label=f"Battery of {unit.name}: lowest {int(percent[lowest])} % at {clock(day.open + lowest)}, "
        f"reserve {reserve} %, charging {', '.join(str(i) for i in trace.charging) or 'never'}",
    )


def _corners(values: list[float]) -> list[int]:
    """The indices at which the line bends, ends included."""
    last = len(values) - 1
    bends = [i for i in range(1, last) if abs((values[i] - values[i - 1]) - (values[i + 1] - values[i])) > 1e-9]
    return [0, *bends, last] if last else [0]
