"""The days of a range, each asked what held it back. It runs in a process of its own: a month takes ten seconds."""

import datetime
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from app.db.store import open_store
from app.services.days import kept_day
from app.services.use.one_job import Progress
from solver.called import called
from solver.holding_back import HoldingBack, holding_back
from solver.names import RuleName
from solver.problem import Day
from solver.progress import StopRequest


@dataclass(frozen=True, slots=True)
class HeldDay:
    """``names``: what the resources of the rows are called on that day, by rule and resource; one that has no name is
    not in it. ``version``: of the day that was looked at."""

    date: datetime.date
    version: int
    held: HoldingBack
    names: Mapping[tuple[RuleName, str], str]


Found = tuple[HeldDay, ...]


Count = Callable[[str, tuple[datetime.date, ...], Callable[[Progress[Found]], None], StopRequest], Found]


def held_days(
    data: str, dates: tuple[datetime.date, ...], tell: Callable[[Progress[Found]], None], should_stop: StopRequest
) -> Found:
    """``data``: a file name or an address, as ``--data`` takes it. Stopped: the days until then."""
    store = open_store(data)
    found: Found = ()
    try:
        for done, date in enumerate(dates, start=1):
            if should_stop():
                break
            kept = kept_day(store, date)
            if kept is not None and kept.plan is not None:
                held = holding_back(kept.day, kept.plan)
                found += (HeldDay(date, kept.version, held, _names(kept.day, held)),)
            tell(Progress(done, found))
    finally:
        store.close()
    return found


def _names(day: Day, held: HoldingBack) -> dict[tuple[RuleName, str], str]:
    named = {(row.rule, row.resource): called(day, row.rule, row.resource) for row in held.rows}
    return {pair: name for pair, name in named.items() if name is not None}
