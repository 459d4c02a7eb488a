"""Batteries by reckoning: from what ran and what is expected, with the clinic's own figures. Nothing is measured."""

import datetime
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from app.clock import local_minute
from app.services.floor.expected import ExpectedPhase
from app.services.floor.reading import Reading
from solver.clinic import Unit
from solver.stays import Stay
from solver.verify.energy import trace
from solver.visits import Part, Phase

Moment = datetime.datetime


@dataclass(frozen=True, slots=True)
class BatteryNow:
    """Levels in percent of capacity. ``reserve_at``: the first minute of the day from now on at which the level is
    below the reserve while the unit is in use; None: it does not get there. ``charge_at``: when it next charges."""

    now_pct: int
    reserve_pct: int
    reserve_at: int | None
    charge_at: int | None
    charging: bool


def battery_now(reading: Reading, phases: Sequence[ExpectedPhase], unit: Unit, now: Moment) -> BatteryNow | None:
    """None where the unit runs on mains, and outside the opening hours."""
    day, battery = reading.day, unit.battery
    minute = local_minute(now, reading.date, reading.zone)
    if battery is None or not day.open <= minute < day.close:
        return None
    stays = sorted(_stays(reading, phases, unit.id, now), key=lambda stay: stay.interval)
    traced = trace(day, battery, stays)
    level = traced.levels[minute - day.open]
    used = {one for stay in stays for one in range(*stay.interval)}
    below = (
        day.open + i
        for i, left in enumerate(traced.levels)
        if day.open + i >= minute and left < battery.reserve_wmin and day.open + i in used
    )
    charging = any(span.start <= minute < span.end for span in traced.charging)
    return BatteryNow(
        now_pct=level * 100 // (battery.full_wmin or 1),
        reserve_pct=battery.reserve_pct,
        reserve_at=next(below, None),
        charge_at=next((span.start for span in traced.charging if span.start > minute), None),
        charging=charging,
    )


def _stays(reading: Reading, phases: Sequence[ExpectedPhase], unit: str, now: Moment) -> Iterator[Stay]:
    """The unit's stays with the minutes that ran and those that are expected, to the minute."""
    coming: dict[tuple[str, int], list[ExpectedPhase]] = {}
    for one in phases:
        coming.setdefault((one.visit, one.part), []).append(one)
    for code, placed in reading.placed.items():
        visit = reading.day.visit_by_id[code]
        lived = [
            (as_lived, replace(where, start=start))
            for number, where in enumerate(placed.parts)
            if where.unit == unit
            for start, as_lived in _lived(reading, code, number, visit.parts[number], coming, now)
        ]
        groups = [lived] if visit.same_unit else [[pair] for pair in lived]
        for pairs in groups:
            if pairs:
                yield Stay(visit, placed, tuple(pairs))


def _lived(
    reading: Reading,
    code: str,
    number: int,
    part: Part,
    coming: dict[tuple[str, int], list[ExpectedPhase]],
    now: Moment,
) -> Iterator[tuple[int, Part]]:
    """The part with its start and minutes as they were and are expected; nothing where it is not given."""
    run = reading.state.visit(code).parts.get(number)
    ahead = coming.get((code, number), [])
    lengths: list[tuple[Phase, float]] = []
    if run is not None:
        lengths += [(part.phases[i], one.lasted(now) / 60) for i, one in enumerate(run.phases) if one.ended is not None]
    lengths += [(one.what, (one.end - one.begin).total_seconds() / 60) for one in ahead]
    if not lengths:
        return
    begin = run.started if run is not None else ahead[0].begin
    rounded = [replace(phase, minutes=max(1, round(minutes))) for phase, minutes in lengths]
    yield local_minute(begin, reading.date, reading.zone), replace(part, phases=tuple(rounded))
