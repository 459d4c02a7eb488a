"""How long a change of the set-up takes with four weeks booked: being told what it breaks, and saving it.

``python -m tests.bench.set_up`` writes a line for each change. The days are those of size M, on SQLite.
"""

import argparse
import sys
import tempfile
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path
from time import perf_counter, process_time

from app.db.store import Store
from app.services.databases import make_database, open_database
from app.services.days import new_day, save_day
from app.services.demo_set_up import set_up_demo
from app.services.setup.changing import BreaksVisitsError, save_change
from app.services.setup.clinic_changes import SaveClinic, SaveClosure
from app.services.setup.filled import FilledSetUp, filled_set_up
from app.services.setup.forms import AwayForm, ClosureForm, MemberForm, UnitForm
from app.services.setup.things import Retire, SaveThing
from app.services.setup.times_away import SaveAway
from app.services.setup.work import Change
from solver.compose import explained, plan_of
from solver.construct import construct
from tests.bench.days import bench_day

FIRST = date(2031, 3, 3)
DAYS = 28
ACTOR = "bench"


@dataclass(frozen=True, slots=True)
class Took:
    """Seconds. ``asked``: the answer that lists what breaks; None where nothing does. ``saved``: the change made.

    ``processor``: of both together, which says more where a machine does other things too.
    """

    asked: float | None
    saved: float
    processor: float
    days: int
    broken: int


def booked(data: str, days: int = DAYS) -> Store:
    """A clinic with so many of its days from FIRST on booked as a day of size M."""
    day = bench_day("M", 0)
    make_database(data, "Bench clinic", "Europe/Dublin")
    store = open_database(data)
    set_up_demo(store, replace(day, date=FIRST), actor=ACTOR)
    ledger = construct(day)
    assert ledger is not None, "the bench's days have room for their breaks"
    on, plan, made = FIRST, explained(day, plan_of(day, ledger.visits, ledger.breaks)), 0
    while made < days:
        empty = new_day(store, on)
        if empty is not None:
            save_day(store, replace(empty, visits=day.visits), replace(plan, date=on), read=0, actor=ACTOR)
            made += 1
        on += timedelta(1)
    return store


def _unit(now: FilledSetUp) -> tuple[UnitForm, int]:
    one = now.units[0]
    assert isinstance(one.form, UnitForm)
    return one.form, one.version


def _member(now: FilledSetUp) -> tuple[MemberForm, int]:
    one = now.staff[0]
    assert isinstance(one.form, MemberForm)
    return one.form, one.version


def _renamed(now: FilledSetUp) -> Change:
    form, read = _unit(now)
    return SaveThing(form=replace(form, name="Blue one"), read=read)


def _without_a_channel(now: FilledSetUp) -> Change:
    form, read = _unit(now)
    return SaveThing(
        form=replace(form, channel_id=form.channel_id[1:], channel_drives=form.channel_drives[1:]), read=read
    )


def _another(now: FilledSetUp) -> Change:
    form, _ = _unit(now)
    return SaveThing(form=replace(form, code="unit-9", name="Another"), read=None)


def _turned_over(now: FilledSetUp) -> Change:
    return SaveClinic(form=replace(now.clinic, bay_turnover_min="10"), read=now.version)


def _shorter(now: FilledSetUp) -> Change:
    form, read = _member(now)
    hours = tuple(text.replace("08:", "09:", 1) for text in form.hours)
    return SaveThing(form=replace(form, hours=hours), read=read)


def _away_a_day(now: FilledSetUp) -> Change:
    form, read = _member(now)
    away = AwayForm(from_date=f"{FIRST}", to_date=f"{FIRST}")
    return SaveAway(kind="staff", code=form.code, form=away, read=read)


def _closed(now: FilledSetUp) -> Change:
    return SaveClosure(form=ClosureForm(date=f"{FIRST}", reason="holiday"), read=now.version)


def _gone(now: FilledSetUp) -> Change:
    form, read = _member(now)
    return Retire(kind="staff", code=form.code, read=read)


CHANGES: Mapping[str, Callable[[FilledSetUp], Change]] = {
    "a unit gets another name": _renamed,
    "a unit is added": _another,
    "a unit loses a channel": _without_a_channel,
    "bays are turned over in 10 minutes, not 5": _turned_over,
    "a therapist comes an hour later": _shorter,
    "a therapist is away for a day": _away_a_day,
    "the clinic closes on a date": _closed,
    "a therapist retires": _gone,
}


def timed(store: Store, change: Change) -> Took:
    """The change as its page makes it: asked first, then saved with what was shown."""
    begun, at_work = perf_counter(), process_time()
    try:
        saved, shown, asked = save_change(store, change, actor=ACTOR), "", None
    except BreaksVisitsError as error:
        shown, asked = error.effects.digest, perf_counter() - begun
        begun = perf_counter()
        saved = save_change(store, change, actor=ACTOR, shown=shown)
    took = perf_counter() - begun
    return Took(asked, took, process_time() - at_work, len(saved.effects.days), len(saved.effects.broken))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--only", default="", help="a part of a change's name")
    only = parser.parse_args().only
    with tempfile.TemporaryDirectory() as folder:
        made = Path(folder) / "made.db"
        booked(str(made)).close()
        _say(
            f"{DAYS} days of {len(bench_day('M', 0).visits)} visits, booked; the file has {made.stat().st_size:,} bytes"
        )
        for name, change in CHANGES.items():
            if only in name:
                _say_took(folder, made, name, change)


def _say_took(folder: str, made: Path, name: str, change: Callable[[FilledSetUp], Change]) -> None:
    path = Path(folder) / "copy.db"
    path.write_bytes(made.read_bytes())
    store = open_database(str(path))
    took = timed(store, change(filled_set_up(store)))
    store.close()
    asked = "" if took.asked is None else f"asked {took.asked:5.2f} s, "
    figures = f"{asked:>15}saved {took.saved:5.2f} s, processor {took.processor:5.2f} s"
    _say(f"{name:42} {figures}; {took.days} days, {took.broken} visits broken")


def _say(line: str) -> None:
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main()
