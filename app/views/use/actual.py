"""What really happened beside what was planned: only of the days that have a record, the same days on both sides."""

import datetime
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from app.views.use.tables import Names, Table, name_of, percent
from solver.late.kept_to import LATE_MIN
from solver.report.sums import PlannedAndActual, Row


@dataclass(frozen=True, slots=True)
class Record:
    """The days that have a record, each by itself, by weekday, and as a whole."""

    days: Mapping[datetime.date, PlannedAndActual]
    weekdays: Mapping[int, PlannedAndActual]
    whole: PlannedAndActual


@dataclass(frozen=True, slots=True)
class Beside:
    """A figure twice. ``planned`` is empty where a plan has none; ``meaning``: its definition."""

    name: str
    planned: str
    actual: str
    meaning: str


_NAMES = {"units": "unit", "channels": "channel", "applicators": "applicator", "bays": "bay", "staff": "staff"}
_EMPTY: Row = {"available_min": 0, "used_min": 0, "held_min": 0}


def beside(record: Record) -> tuple[Beside, ...]:
    """The clinic's figures; none where no day has a record."""
    if not record.days:
        return ()
    was, is_ = (sums["clinic"]["all"] for sums in record.whole)
    kept = record.whole.actual["record"]["all"]
    hands = [_total(sums["staff"]) for sums in record.whole]
    return (
        Beside("Channels running, raw", _used(was), _used(is_), "running minutes ÷ minutes in service, by the hours"),
        Beside("Channels held, adjusted", _held(was), _held(is_), "start to end of parts, pauses too, ÷ in service"),
        Beside("Staff hands on", _used(hands[0]), _used(hands[1]), "minutes with hands on ÷ duty, planned breaks off"),
        Beside("Parallel share", _parallel(was), _parallel(is_), "two or more on a unit ÷ minutes units are occupied"),
        Beside(
            "Most patients at once",
            str(was["peak_patients"]),
            str(is_["peak_patients"]),
            "in the whole clinic, in any minute",
        ),
        Beside("Visits", str(kept["visits"]), str(kept["begun"]), "placed by the plan; begun"),
        Beside(
            "Late",
            "",
            f"{kept['late']} of {kept['begun']}",
            f"began more than {LATE_MIN} minutes after planned (our choice, no source); {kept['late_min']:,} min",
        ),
        Beside("Missed", "", f"{kept['missed']} of {kept['visits']}", "said to be missed, and not begun"),
        Beside(
            "Overrun",
            "",
            f"{kept['overrun_min']} min",
            f"minutes over the prescribed, pauses too, in {kept['overrun']:,} of {kept['parts']:,} parts"
            f" with {kept['prescribed_min']:,} min prescribed",
        ),
        Beside(
            "Turnaround kept",
            "",
            _percent(kept["kept"], kept["reused"]),
            f"items used again not before their turnaround was over: {kept['kept']:,} of {kept['reused']:,} times",
        ),
        Beside("Not ended", "", str(kept["unended"]), "parts that nobody ended; counted as prescribed"),
    )


def record_tables(record: Record, names: Names) -> Iterator[Table]:
    """The figures of the clinic, and the ratios of all that can be used."""
    rows = tuple((one.name, one.planned, one.actual, one.meaning) for one in beside(record))
    yield Table("actual", "Planned and actual", ("figure", "planned", "actual", "meaning"), rows)
    columns = ("name", "what", "planned raw %", "actual raw %", "planned adjusted %", "actual adjusted %")
    shares = tuple(row for table in (*_NAMES, "outputs", "hours") for row in _shares(record, names, table))
    yield Table("actual-each", "Planned and actual of each", columns, shares)


def _shares(record: Record, names: Names, table: str) -> Iterator[tuple[str, ...]]:
    actual = record.whole.actual.get(table, {})
    for key, row in record.whole.planned.get(table, {}).items():
        other: Mapping[str, int] = actual.get(key, _EMPTY)
        pairs = [percent(one[of], one["available_min"]) for of in ("used_min", "held_min") for one in (row, other)]
        yield (
            f"{key}:00" if table == "hours" else name_of(names, table, key),
            _NAMES.get(table, table.removesuffix("s")),
            *pairs,
        )


def _total(rows: Mapping[str, Row]) -> Row:
    return {measure: sum(row[measure] for row in rows.values()) for measure in _EMPTY}


def _used(row: Row) -> str:
    return _percent(row["used_min"], row["available_min"])


def _held(row: Row) -> str:
    return _percent(row["held_min"], row["available_min"])


def _parallel(row: Row) -> str:
    return _percent(row["parallel_min"], row["occupied_min"])


def _percent(part: int, whole: int) -> str:
    found = percent(part, whole)
    return f"{found} %" if found else "–"
