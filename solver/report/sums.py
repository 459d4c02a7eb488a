"""The report's figures of days as whole numbers that can be added up: a range is divided once, never a mean of ratios.

Each table has rows by id, each row its measures. ``available_min`` is what every ratio divides by, ``used_min`` makes
raw, ``held_min`` adjusted, as the report defines them for channels, units, applicators, bays and staff; an output has
the channels that can drive it, an hour (``"09"``) and the clinic (one row, ``"all"``) have all channels. Hours go on
beyond closing where something did. Of treatments see ``treatments.py``. ``run_min``: minutes in which anything ran on a
unit, or with an item. A measure that begins with ``peak_`` is joined by the most of it, every other one by its sum.
"""

from collections.abc import Iterable, Iterator, Mapping
from types import MappingProxyType
from typing import NamedTuple

from solver.clinic import Unit
from solver.clock import Interval, union_minutes
from solver.problem import Day
from solver.report import report
from solver.report.channels import in_service_min, parts_on
from solver.report.crowd import minutes_at_once
from solver.report.figures import Report
from solver.report.treatments import treatment_rows
from solver.schedule import PlacedPart, Plan
from solver.stays import Stay, stays_of
from solver.visits import Part

Row = dict[str, int]
Sums = dict[str, dict[str, Row]]
NOT_SAID: Mapping[str, str] = MappingProxyType({})


class PlannedAndActual(NamedTuple):
    """Sums of the same days."""

    planned: Sums
    actual: Sums


def day_sums(day: Day, plan: Plan, treatments: Mapping[str, str] = NOT_SAID) -> Sums:
    """A day's figures. The plan is one that the verifier finds right, or ``actual_day`` made it.

    ``treatments``: by visit, the treatment that it was booked with.
    """
    figures = report(day, plan)
    stays = stays_of(day, plan)
    return {
        "clinic": {"all": _clinic(day, figures, stays)},
        "units": _units(day, plan, figures),
        "channels": {
            f"{row['unit']} {row['id']}": _row(row["in_service_min"], row["running_min"], row["held_min"])
            for row in figures["channels"]
        },
        "outputs": _outputs(day, plan),
        "applicators": {
            row["id"]: _row(
                row["items"] * day.open_interval.minutes, row["held_min"], row["held_min"] + row["turnaround_min"]
            )
            for row in figures["applicators"]
        },
        "items": _items(day, plan),
        "bays": {
            row["id"]: _row(day.open_interval.minutes, row["held_min"], row["held_min"] + row["turnover_min"])
            for row in figures["bays"]
        },
        "staff": {row["id"]: _row(row["duty_min"], row["hands_min"], row["hands_min"]) for row in figures["staff"]},
        "hours": _hours(day, plan, stays),
        "treatments": treatment_rows(day, plan, treatments),
    }


def added(days: Iterable[Sums]) -> Sums:
    """Any number of days, or of ranges, as one."""
    whole: Sums = {}
    for day in days:
        for name, rows in day.items():
            table = whole.setdefault(name, {})
            for key, row in rows.items():
                known = table.setdefault(key, {})
                for measure, value in row.items():
                    old = known.get(measure, 0)
                    known[measure] = max(old, value) if measure.startswith("peak_") else old + value
    return whole


def both_added(days: Iterable[PlannedAndActual]) -> PlannedAndActual:
    """The same of days that have both."""
    days = list(days)
    return PlannedAndActual(added(day.planned for day in days), added(day.actual for day in days))


def _row(available: int, used: int, held: int) -> Row:
    return {"available_min": available, "used_min": used, "held_min": held}


def _clinic(day: Day, figures: Report, stays: Iterable[Stay]) -> Row:
    clinic, channels, units = figures["clinic"], figures["channels"], figures["units"]
    return {
        **_row(
            sum(row["in_service_min"] for row in channels),
            sum(row["running_min"] for row in channels),
            sum(row["held_min"] for row in channels),
        ),
        "days": 1,
        "open_min": day.open_interval.minutes,
        "occupied_min": sum(row["occupied_min"] for row in units),
        "parallel_min": sum(row["parallel_min"] for row in units),
        "patient_min": sum(int(count) * minutes for count, minutes in clinic["patients_histogram"].items()),
        "peak_patients": clinic["peak_patients"],
        "peak_end": max((stay.interval.end for stay in stays), default=0),
        "visits_placed": clinic["visits_placed"],
        "visits_left_out": clinic["visits_left_out"],
        "counted_units": clinic["counted_units"],
    }


def _units(day: Day, plan: Plan, figures: Report) -> dict[str, Row]:
    ran: dict[str, list[Interval]] = {}
    for part, placed in _placed_parts(day, plan):
        ran.setdefault(placed.unit, []).extend(_running(part, placed))
    rows = {}
    for row in figures["units"]:
        channels = [each for each in figures["channels"] if each["unit"] == row["id"]]
        rows[row["id"]] = {
            **_row(
                row["in_service_min"] * len(channels),
                sum(each["running_min"] for each in channels),
                sum(each["held_min"] for each in channels),
            ),
            "run_min": union_minutes(ran.get(row["id"], ())),
            "occupied_min": row["occupied_min"],
            "parallel_min": row["parallel_min"],
            "charging_min": row["charging_min"],
            "peak_patients": row["peak_patients"],
        }
    return rows


def _outputs(day: Day, plan: Plan) -> dict[str, Row]:
    rows: dict[str, Row] = {}
    for unit in day.units:
        for channel in unit.channels:
            for output in channel.drives:
                rows.setdefault(output, _row(0, 0, 0))["available_min"] += in_service_min(day, unit)
    for part, where in _placed_parts(day, plan):
        running = sum(phase.minutes for phase in part.phases if phase.running)
        for output, ids in where.channels.items():
            rows[output]["used_min"] += running * len(ids)
            rows[output]["held_min"] += part.minutes * len(ids)
    return rows


def _items(day: Day, plan: Plan) -> dict[str, Row]:
    ran: dict[str, list[Interval]] = {item: [] for pool in day.applicators for item in pool.items}
    for part, placed in _placed_parts(day, plan):
        for item in (item for items in placed.items.values() for item in items):
            ran[item] += _running(part, placed)
    return {item: {"run_min": union_minutes(spans)} for item, spans in ran.items()}


def _placed_parts(day: Day, plan: Plan) -> Iterator[tuple[Part, PlacedPart]]:
    for placed in plan.visits:
        yield from zip(day.visit_by_id[placed.id].parts, placed.parts, strict=True)


def _running(part: Part, placed: PlacedPart) -> list[Interval]:
    return [span for phase, span in part.phases_at(placed.start) if phase.running]


def _hours(day: Day, plan: Plan, stays: Iterable[Stay]) -> dict[str, Row]:
    stays = list(stays)
    spans: dict[str, list[Interval]] = {"available_min": [], "used_min": [], "held_min": []}
    for unit in day.units:
        for channel in unit.channels:
            spans["available_min"] += _in_service(day, unit)
            for part, placed in parts_on(day, plan, unit.id, channel.id):
                spans["held_min"].append(Interval(placed.start, placed.start + part.minutes))
                spans["used_min"] += _running(part, placed)
    patients = [stay.interval for stay in stays]
    first = min([day.open, *(span.start for span in patients)])
    last = max([day.close, *(span.end for span in patients)])
    rows = {}
    for hour in range(first // 60, -(-last // 60)):
        window = Interval(hour * 60, hour * 60 + 60)
        rows[f"{hour:02}"] = {
            **{measure: _minutes_in(window, found) for measure, found in spans.items()},
            "open_min": _minutes_in(window, [day.open_interval]),
            "patient_min": _minutes_in(window, patients),
            "peak_patients": max(minutes_at_once(patients, window)),
        }
    return rows


def _in_service(day: Day, unit: Unit) -> list[Interval]:
    spans: list[Interval] = []
    for span in sorted(day.unit_hours(unit)):
        start, end = max(span.start, day.open, spans[-1].end if spans else 0), min(span.end, day.close)
        if start < end:
            spans.append(Interval(start, end))
    return spans


def _minutes_in(window: Interval, spans: Iterable[Interval]) -> int:
    return sum(max(0, min(span.end, window.end) - max(span.start, window.start)) for span in spans)
