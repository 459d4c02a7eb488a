"""Days and plans as JSON-ready objects: what reading them gives back is equal to what was written."""

from collections.abc import Iterable, Mapping
from typing import Any

from solver.clinic import Applicator, Battery, Place, StaffMember, Unit
from solver.clock import Interval, clock
from solver.problem import Day
from solver.reading.day_reader import DAY_FORMAT
from solver.reading.plan_reader import PLAN_FORMAT
from solver.schedule import PlacedPart, PlacedVisit, Plan
from solver.visits import Fixed, FixedPart, Part, Visit

Document = dict[str, Any]


def day_document(day: Day) -> Document:
    """The day as a day file's content."""
    return {
        "format": DAY_FORMAT,
        "date": day.date.isoformat(),
        "step_min": day.step_min,
        "open": clock(day.open),
        "close": clock(day.close),
        "move_min": day.move_min,
        "bay_turnover_min": day.bay_turnover_min,
        "units": [_unit(unit) for unit in day.units],
        "applicators": [_applicator(pool) for pool in day.applicators],
        "places": [_place(place) for place in day.places],
        "staff": [_member(member) for member in day.staff],
        "visits": [_visit(visit) for visit in day.visits],
        "published": [placed_visit_document(visit) for visit in day.published],
        "aims": list(day.aims),
    }


def plan_document(plan: Plan) -> Document:
    """The plan as a plan file's content."""
    document: Document = {
        "format": PLAN_FORMAT,
        "date": plan.date.isoformat(),
        "status": plan.status,
        "visits": [placed_visit_document(visit) for visit in plan.visits],
        "left_out": [
            {"id": left.id, "reasons": [{"rule": reason.rule, "text": reason.text} for reason in left.reasons]}
            for left in plan.left_out
        ],
        "breaks": [
            {"staff": placed.staff, "start": clock(placed.start), "end": clock(placed.end)} for placed in plan.breaks
        ],
        "scores": dict(plan.scores),
        "bounds": dict(plan.bounds),
    }
    if plan.status == "infeasible":
        document["conflict"] = [{"id": clash.id, "rules": list(clash.rules)} for clash in plan.conflict]
    return document


def _unit(unit: Unit) -> Document:
    return {
        "id": unit.id,
        "name": unit.name,
        "channels": [{"id": channel.id, "drives": list(channel.drives)} for channel in unit.channels],
        "patients_at_once": unit.patients_at_once,
        "places": list(unit.places),
        **_given(hours=None if unit.hours is None else _intervals(unit.hours)),
        "battery": None if unit.battery is None else _battery(unit.battery),
    }


def _battery(battery: Battery) -> Document:
    return {
        "capacity_wh": battery.capacity_wh,
        "start_pct": battery.start_pct,
        "reserve_pct": battery.reserve_pct,
        "standby_w": battery.standby_w,
        "draw_w": dict(battery.draw_w),
        "pump_w": battery.pump_w,
        "charge_w": battery.charge_w,
        "min_charge_min": battery.min_charge_min,
    }


def _applicator(pool: Applicator) -> Document:
    return {
        "id": pool.id,
        "name": pool.name,
        "items": list(pool.items),
        **_given(fits=None if pool.fits is None else list(pool.fits)),
        "turnaround_min": pool.turnaround_min,
    }


def _place(place: Place) -> Document:
    return {"id": place.id, "name": place.name, "bays": list(place.bays), "tags": list(place.tags)}


def _member(member: StaffMember) -> Document:
    return {
        "id": member.id,
        "name": member.name,
        "kind": member.kind,
        "skills": list(member.skills),
        "hours": _intervals(member.hours),
        "breaks": [{"min": due.minutes, "between": _interval(due.between)} for due in member.breaks],
        "watch_free": member.watch_free,
        "watch_busy": member.watch_busy,
    }


def _visit(visit: Visit) -> Document:
    return {
        "id": visit.id,
        "patient": visit.patient,
        "priority": visit.priority,
        **_given(free=None if visit.free is None else _intervals(visit.free)),
        "wish": None if visit.wish is None else clock(visit.wish),
        "therapist_wish": visit.therapist_wish,
        "therapist_must": visit.therapist_must,
        "place_tags": list(visit.place_tags),
        "same_unit": visit.same_unit,
        "parts": [part_document(part) for part in visit.parts],
        "fixed": None if visit.fixed is None else _fixed(visit.fixed),
    }


def part_document(part: Part) -> Document:
    """A part of a visit as a day file has it."""
    return {
        "id": part.id,
        "channels": dict(part.channels),
        "applicators": dict(part.applicators),
        "suction_kpa": part.suction_kpa,
        "skill": part.skill,
        "phases": [{"min": phase.minutes, "hands": phase.hands, "running": phase.running} for phase in part.phases],
        **_given(units=None if part.units is None else list(part.units)),
        "max_wait_min": part.max_wait_min,
    }


def _fixed(fixed: Fixed) -> Document:
    therapist = {"therapist": fixed.therapist} if fixed.therapist_given else {}
    return {**therapist, "parts": [_fixed_part(part) for part in fixed.parts]}


def _fixed_part(part: FixedPart) -> Document:
    return _given(
        start=None if part.start is None else clock(part.start),
        unit=part.unit,
        place=part.place,
        bay=part.bay,
        channels=None if part.channels is None else _named(part.channels),
        items=None if part.items is None else _named(part.items),
    )


def placed_visit_document(visit: PlacedVisit) -> Document:
    """A visit of a plan as a plan file has it."""
    return {"id": visit.id, "therapist": visit.therapist, "parts": [_placed_part(part) for part in visit.parts]}


def _placed_part(part: PlacedPart) -> Document:
    return {
        "id": part.id,
        "start": clock(part.start),
        "unit": part.unit,
        "place": part.place,
        "bay": part.bay,
        "channels": _named(part.channels),
        "items": _named(part.items),
        "hands": list(part.hands),
    }


def _named(ids: Mapping[str, Iterable[str]]) -> dict[str, list[str]]:
    return {key: list(values) for key, values in ids.items()}


def _intervals(intervals: Iterable[Interval]) -> list[list[str]]:
    return [_interval(interval) for interval in intervals]


def _interval(interval: Interval) -> list[str]:
    return [clock(interval.start), clock(interval.end)]


def _given(**values: Any) -> Document:
    """Keys whose value is not None: leaving such a key out is what None means."""
    return {key: value for key, value in values.items() if value is not None}
