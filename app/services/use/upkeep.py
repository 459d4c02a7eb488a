"""Upkeep in figures: how long each unit, channel and item ran since its last service, and how long batteries lasted."""

import datetime
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from app.db.store import Store
from app.models.upkeep import KINDS
from app.queries.clinics import the_clinic
from app.queries.day_figures import FiguresOfDay
from app.queries.set_up_reading import SetUp, set_up_of
from app.services.upkeep.records import Due, Noted, Thing, due_within, last_done, noted_within, things_within
from app.services.use.room import UseRoom
from solver.report.sums import Row, added

LOOKED_BACK = datetime.timedelta(days=800)
"""So many days back kept days are counted, at most."""


@dataclass(frozen=True, slots=True)
class Run:
    """Minutes that ran on days after ``since`` and before today; ``since`` None: on all that are looked at.

    ``recorded``: by the Floor's record, on so many days; ``planned``: by the plans of days without a record.
    """

    since: datetime.date | None
    recorded_min: int
    recorded_days: int
    planned_min: int
    planned_days: int


@dataclass(frozen=True, slots=True)
class Kept:
    """A unit or an item. ``last`` by kind: what was done last. ``channels``: minutes of a unit's, by channel."""

    thing: Thing
    name: str
    last: Mapping[str, Noted]
    run: Run
    channels: Mapping[str, Run]


@dataclass(frozen=True, slots=True)
class Lasted:
    """A unit's battery since its last service: what was observed (``solver.late.batteries``), and the clinic's own
    figures of it now."""

    unit: str
    name: str
    observed: Row
    capacity_wh: int
    reserve_pct: int


@dataclass(frozen=True, slots=True)
class UpkeepFigures:
    """``noted``: the whole record, oldest first. ``first``: the first date that is counted. ``uncounted``: planned days
    whose figures are not there yet."""

    today: datetime.date
    first: datetime.date
    due: tuple[Due, ...]
    kept: tuple[Kept, ...]
    batteries: tuple[Lasted, ...]
    noted: tuple[Noted, ...]
    names: Mapping[Thing, str]
    uncounted: int


def upkeep_figures(store: Store, room: UseRoom, today: datetime.date) -> UpkeepFigures:
    first = today - LOOKED_BACK
    days = room.days(first, today - datetime.timedelta(days=1), today)
    with store.reading() as session:
        clinic = the_clinic(session)
        set_up, noted = set_up_of(session, clinic), noted_within(session, clinic.id or 0)
        names = things_within(session, clinic.id or 0)
    kept = tuple(_kept(thing, name, set_up, noted, days, today) for thing, name in names.items())
    return UpkeepFigures(
        today=today,
        first=first,
        due=due_within(noted, names, today),
        kept=kept,
        batteries=tuple(_batteries(set_up, kept, days)),
        noted=noted,
        names=names,
        uncounted=sum(not day.current for day in days),
    )


def _kept(
    thing: Thing,
    name: str,
    set_up: SetUp,
    noted: Sequence[Noted],
    days: Sequence[FiguresOfDay],
    today: datetime.date,
) -> Kept:
    last = {kind: done for kind in KINDS if (done := last_done(noted, thing, kind, today)) is not None}
    since = last["service"].done_on if "service" in last else None
    unit = set_up.thing("unit", thing.code) if thing.of == "unit" else None
    return Kept(
        thing=thing,
        name=name,
        last=last,
        run=_run(days, since, f"{thing.of}s", thing.code, "run_min"),
        channels={
            channel["id"]: _run(days, since, "channels", f"{thing.code} {channel['id']}", "used_min")
            for channel in (unit.document["channels"] if unit is not None else ())
        },
    )


def _run(days: Sequence[FiguresOfDay], since: datetime.date | None, table: str, key: str, measure: str) -> Run:
    recorded = [row[measure] for row in _rows(days, since, table, key, recorded=True)]
    planned = [row[measure] for row in _rows(days, since, table, key, recorded=False)]
    return Run(since, sum(recorded), len(recorded), sum(planned), len(planned))


def _rows(
    days: Sequence[FiguresOfDay], since: datetime.date | None, table: str, key: str, *, recorded: bool
) -> Iterator[Row]:
    """The thing's row of each day that has a record, or of each that has none; nothing where it was not there."""
    for day in days:
        if (day.actual is not None) is recorded and (since is None or day.date > since):
            row = ((day.actual if recorded else day.sums) or {}).get(table, {}).get(key)
            if row is not None:
                yield row


def _batteries(set_up: SetUp, kept: Sequence[Kept], days: Sequence[FiguresOfDay]) -> Iterator[Lasted]:
    for one in kept:
        unit = set_up.thing("unit", one.thing.code) if one.thing.of == "unit" else None
        battery = unit.document.get("battery") if unit is not None else None
        if battery is not None:
            rows = _rows(days, one.run.since, "batteries", one.thing.code, recorded=True)
            observed = added({"batteries": {"all": row}} for row in rows).get("batteries", {}).get("all", {})
            yield Lasted(one.thing.code, one.name, observed, battery["capacity_wh"], battery["reserve_pct"])
