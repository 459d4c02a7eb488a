"""Planned beside actual as pictures, each with its table: by weekday and hour, by unit, by treatment, day by day."""

from collections.abc import Iterator
from dataclasses import dataclass

from app.views.use.actual import Record
from app.views.use.days_beside import Steps, step_tables, steps
from app.views.use.pictures import Bar, Heat, heat_of, share_bar
from app.views.use.tables import WEEKDAYS, Names, Table, name_of, percent
from app.views.use.treatments import treatment_name, treatment_order, treatments_drawn, use_bars
from solver.clock import clock
from solver.report.sums import Row

_NOTHING: Row = {"available_min": 0, "used_min": 0, "held_min": 0}
_RATIOS = (
    "in service min",
    *("planned running min", "actual running min", "planned held min", "actual held min"),
    *("planned raw %", "actual raw %", "planned adjusted %", "actual adjusted %"),
)
_TREATED = (
    *("treatment", "visits planned", "begun", "missed", "left out", "late", "overrun min"),
    *("planned running min", "actual running min", "planned held min", "actual held min"),
    *("planned hands min", "actual hands min"),
)


@dataclass(frozen=True, slots=True)
class Pictures:
    """``units`` and ``treatments``: a bar for what was planned and one for what happened, of each."""

    heat: Heat
    units: tuple[Bar, ...]
    treatments: tuple[Bar, ...]
    steps: Steps


def pictures_beside(record: Record, names: Names) -> Pictures | None:
    """None where no day has a record."""
    if not record.days:
        return None
    named = [
        (f"{WEEKDAYS[weekday][:3]} {which}", sums)
        for weekday, both in record.weekdays.items()
        for which, sums in zip(("planned", "actual"), both, strict=True)
    ]
    return Pictures(heat_of(named, 88), _units(record, names), _treatments(record, names), steps(record.days))


def tables_beside(record: Record, names: Names) -> Iterator[Table]:
    """Those of the pictures; all of them empty where no day has a record."""
    hours = tuple(
        (WEEKDAYS[weekday], clock(int(hour) * 60), *_ratios(row, both.actual["hours"].get(hour)))
        for weekday, both in record.weekdays.items()
        for hour, row in _hours(both.planned["hours"], both.actual["hours"])
    )
    yield Table("actual-heat", "Weekday and hour, planned and actual", ("weekday", "hour", *_RATIOS), hours)
    days = tuple(
        (WEEKDAYS[weekday], *_ratios(both.planned["clinic"]["all"], both.actual["clinic"]["all"]))
        for weekday, both in record.weekdays.items()
    )
    yield Table("actual-weekdays", "Weekdays, planned and actual", ("weekday", *_RATIOS), days)
    treated = tuple(_treated(record, names))
    yield Table("actual-treatments", "Treatments, planned and actual", _TREATED, treated)
    yield from step_tables(record.days)


def _hours(planned: dict[str, Row], actual: dict[str, Row]) -> Iterator[tuple[str, Row]]:
    """Of the plan; those in which only something happened too."""
    for hour in sorted({**planned, **actual}):
        yield hour, planned.get(hour, _NOTHING)


def _ratios(planned: Row, other: Row | None) -> tuple[str, ...]:
    actual, available = other or _NOTHING, planned["available_min"]
    pairs = [(planned[of], actual[of]) for of in ("used_min", "held_min")]
    minutes = [str(one) for pair in pairs for one in pair]
    return (str(available), *minutes, *(percent(one, available) for pair in pairs for one in pair))


def _units(record: Record, names: Names) -> tuple[Bar, ...]:
    found = []
    for key, planned in record.whole.planned["units"].items():
        actual = record.whole.actual["units"].get(key, _NOTHING)
        found += [
            share_bar("planned", planned, name_of(names, "units", key)),
            share_bar("actual", {**actual, "available_min": planned["available_min"]}, ""),
        ]
    return tuple(found)


def _treatments(record: Record, names: Names) -> tuple[Bar, ...]:
    planned, actual = (sums.get("treatments", {}) for sums in record.whole)
    rows = []
    for key in treatments_drawn(planned):
        rows.append(("planned", planned[key], treatment_name(names, key)))
        rows.append(("actual", actual[key], ""))
    return use_bars(rows)


def _treated(record: Record, names: Names) -> Iterator[tuple[str, ...]]:
    planned, actual = (sums.get("treatments", {}) for sums in record.whole)
    for key in treatment_order(planned):
        was, is_ = planned[key], actual[key]
        counts = (was["visits_placed"], is_["begun"], is_["missed"], was["visits_left_out"], is_["late"])
        pairs = (row[of] for of in ("used_min", "held_min", "hands_min") for row in (was, is_))
        yield (treatment_name(names, key), *map(str, (*counts, is_["overrun_min"], *pairs)))
