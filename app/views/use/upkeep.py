"""The page on upkeep: what was done and is due, how long things ran since their last service, how batteries lasted."""

import datetime
from collections.abc import Mapping
from dataclasses import dataclass
from urllib.parse import quote

from app.views.upkeep import DueLine, written
from app.views.use.tables import Table
from app.views.words import counted, length
from solver.report.sums import Row


@dataclass(frozen=True, slots=True)
class DoneView:
    """What was done last of a kind. ``due``: by when again, in words; empty where no date was given. ``mark``: what it
    ends with where it is due or overdue. ``dates``: both for CSV."""

    done: str
    by: str
    due: str
    mark: str
    dates: tuple[str, str]


@dataclass(frozen=True, slots=True)
class RunView:
    """``text``: all minutes, in words; ``said``: where they are from; ``since``: the day after which they count,
    ``after``: the same for CSV."""

    text: str
    said: str
    recorded: int
    recorded_days: int
    planned: int
    planned_days: int
    since: str
    after: str


@dataclass(frozen=True, slots=True)
class KeptView:
    """A unit or an item. ``done``: by kind, in the order of the columns; None: not noted."""

    name: str
    done: tuple[DoneView | None, ...]
    run: RunView


@dataclass(frozen=True, slots=True)
class BatteryLine:
    """``lines``: what was observed and what the clinic's figures say, a sentence each. ``set_up``: where the figure is
    changed. ``cells`` are those of the table."""

    name: str
    lines: tuple[str, ...]
    set_up: str
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RecordLine:
    """A row of the record. ``back``: where it is taken back; empty where it was."""

    done: str
    what: str
    due: str
    note: str
    by: str
    back: str


@dataclass(frozen=True, slots=True)
class UpkeepPage:
    """``channels`` by what they are called. ``things``: the options of the form, by what it sends."""

    first: str
    uncounted: int
    due: tuple[DueLine, ...]
    units: tuple[KeptView, ...]
    channels: tuple[tuple[str, RunView], ...]
    items: tuple[KeptView, ...]
    batteries: tuple[BatteryLine, ...]
    record: tuple[RecordLine, ...]
    more: int
    things: tuple[tuple[str, str], ...]
    tables: Mapping[str, Table]


def done_view(done: datetime.date, by: str, due: datetime.date | None, today: datetime.date) -> DoneView:
    if due is None:
        return DoneView(written(done), by, "", "", (done.isoformat(), ""))
    mark = "▲ overdue" if due < today else "△ due today" if due == today else ""
    dates = (done.isoformat(), due.isoformat())
    return DoneView(written(done), by, f"by {written(due)} {mark}".strip(), mark, dates)


def run_view(recorded: tuple[int, int], planned: tuple[int, int], since: datetime.date | None) -> RunView:
    """Minutes and days by the Floor's record, and by plans of days that have none."""
    (recorded_min, recorded_days), (planned_min, planned_days) = recorded, planned
    sources = []
    if recorded_days:
        sources.append(f"{length(recorded_min)} by the Floor’s record of {counted(recorded_days, 'day')}")
    if planned_days:
        sources.append(f"{length(planned_min)} by the plans of {counted(planned_days, 'day')}")
    return RunView(
        text=length(recorded_min + planned_min),
        said="; ".join(sources) or "no day is kept",
        recorded=recorded_min,
        recorded_days=recorded_days,
        planned=planned_min,
        planned_days=planned_days,
        since="" if since is None else written(since),
        after="" if since is None else since.isoformat(),
    )


def battery_line(unit: str, name: str, seen: Row, capacity_wh: int, reserve_pct: int) -> BatteryLine:
    """``seen``: as ``solver.late.batteries`` counts; empty where no day has a record."""
    times, drawn, charges = seen.get("empty", 0), seen.get("empty_drawn_wmin", 0), seen.get("charged", 0)
    lines = [f"The clinic’s figure: {capacity_wh} Wh, of which {reserve_pct} % are never drawn on."]
    observed = empty = reserve = longest = ""
    if times:
        observed = str(round(seen["empty_run_min"] / times))
        lines.append(
            f"Observed: ran {observed} minutes from full until it was said to be empty, in the mean of"
            f" {counted(times, 'observation')}."
        )
        if drawn:
            lasts = seen["empty_run_min"] * capacity_wh * 60 / drawn
            empty, reserve = str(round(lasts)), str(round(lasts * (100 - reserve_pct) / 100))
            lines.append(
                f"By the clinic’s figures the same running would last {empty} minutes,"
                f" {reserve} of them above the reserve."
            )
    else:
        lines.append("Observed: nobody said that it was empty after a full charge.")
    if charges:
        longest = str(seen["peak_charged_run_min"])
        lines.append(
            f"From full until it stood idle long enough to charge: {counted(charges, 'time')},"
            f" {longest} minutes in the longest, so it lasts at least that long."
        )
    if seen.get("not_full"):
        lines.append(
            f"Said to be empty when it had not been full before: {counted(seen['not_full'], 'time')}, left aside."
        )
    cells = (name, str(capacity_wh), str(reserve_pct), str(times), observed, empty, reserve, str(charges), longest)
    return BatteryLine(name, tuple(lines), f"/set-up/unit/form?code={quote(unit, safe='')}", cells)


def upkeep_tables(
    kinds: tuple[str, ...],
    units: tuple[KeptView, ...],
    channels: tuple[tuple[str, RunView], ...],
    items: tuple[KeptView, ...],
    batteries: tuple[BatteryLine, ...],
) -> dict[str, Table]:
    """The same rows for CSV."""
    done = tuple(column for kind in kinds for column in (f"last {kind}", f"{kind} again by", f"{kind} by whom"))
    run = ("after", "run min by record", "days of record", "run min by plans", "days of plans")
    battery = (
        *("unit", "capacity Wh", "reserve %", "observations", "observed run min"),
        *("run min by figure", "run min by figure above reserve", "charges before", "longest run min before a charge"),
    )
    found = (
        Table("units", "Units", ("unit", *done, *run), tuple(_kept(one) for one in units)),
        Table("channels", "Channels", ("channel", *run), tuple((name, *_run(one)) for name, one in channels)),
        Table("items", "Items", ("item", *done, *run), tuple(_kept(one) for one in items)),
        Table("batteries", "Batteries", battery, tuple(one.cells for one in batteries)),
    )
    return {table.name: table for table in found}


def _kept(one: KeptView) -> tuple[str, ...]:
    done = (cell for each in one.done for cell in ((*each.dates, each.by) if each is not None else ("",) * 3))
    return (one.name, *done, *_run(one.run))


def _run(run: RunView) -> tuple[str, ...]:
    return (run.after, str(run.recorded), str(run.recorded_days), str(run.planned), str(run.planned_days))
