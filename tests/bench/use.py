"""``python -m tests.bench.use``: how long 1, 6, 12 and 24 months of M days take to read, and how that grows.

The days are kept in a database of its own, each with its own seed's sums, as planned and, as if it had run to plan, as
it happened; what is timed is what the page asks for.
"""

import datetime
import sys
import tempfile
from pathlib import Path
from time import perf_counter

from sqlmodel import Session

from app.db.store import Store
from app.models import ClinicDay, LiveEvent, SavedPlan
from app.models.columns import now
from app.queries.clinics import the_clinic
from app.queries.day_figures import write_figures
from app.queries.visit_life import row_ids
from app.services.databases import make_database, open_database
from app.services.days import save_day
from app.services.use.room import read_range
from app.views.use.actual import Record
from app.views.use.page import use_page
from solver.construct import construct
from solver.report.sums import Sums, day_sums
from solver.visits import Visit
from tests.app.clinic_days import DATE, a_clinic_day, a_clinic_plan
from tests.bench.days import bench_day
from tests.builders import a_plan

MONTHS = (1, 6, 12, 24)
GOAL_S = 2.0
"""For 12 months."""
FIRST = datetime.date(2032, 1, 1)
SEEDS = 10
EVENTS = 200
"""Of a day."""
REPEATS = 3
RECORD = dict.fromkeys(
    (
        *("visits", "begun", "late", "late_min", "missed", "parts"),
        *("overrun", "overrun_min", "prescribed_min", "unended", "reused", "kept"),
    ),
    1,
)


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        data = str(Path(folder) / "clinic.db")
        make_database(data, "Bench clinic", "Europe/Dublin")
        store = open_database(data)
        days = [_sums(seed) for seed in range(1, SEEDS + 1)]
        _say("| months | days | best of 3, s | s per month | goal, s |")
        _say("|---|---|---|---|---|")
        save_day(store, a_clinic_day(), a_clinic_plan(a_clinic_day()), read=0, actor="bench")
        with store.writing() as session:
            clinic_id = the_clinic(session, to_write=True).id or 0
            visit = row_ids(session, clinic_id, DATE)["V1"]
            for n in range(31 * max(MONTHS)):
                _keep(session, clinic_id, FIRST + datetime.timedelta(days=n), days[n % SEEDS], visit)
        for months in MONTHS:
            seconds = min(_timed(store, months) for _ in range(REPEATS))
            goal = f"{GOAL_S:.1f}" if months == 12 else ""
            _say(f"| {months} | {_days(months)} | {seconds:.3f} | {seconds / months:.4f} | {goal} |")
        store.close()


def _sums(seed: int) -> Sums:
    day = bench_day("M", seed)
    ledger = construct(day)
    assert ledger is not None
    plan = a_plan(day, *ledger.visits.values(), breaks=[b for _, b in sorted(ledger.breaks.items())])
    return day_sums(day, plan, {visit.id: _treatment(visit) for visit in day.visits})


def _treatment(visit: Visit) -> str:
    """Visits that ask for the same minutes have the same."""
    return ", ".join(f"{part.id} {part.minutes}" for part in visit.parts)


def _actual(sums: Sums) -> Sums:
    """As if the day had run to plan."""
    treatments = {key: {**row, **RECORD} for key, row in sums["treatments"].items()}
    return {**sums, "treatments": treatments, "record": {"all": RECORD}}


def _keep(session: Session, clinic_id: int, date: datetime.date, sums: Sums, visit: int) -> None:
    """A day without its visits, since reading a range asks for none of them; its events are all of one visit."""
    day = ClinicDay(
        clinic_id=clinic_id,
        date=date,
        time_zone="Europe/Dublin",
        version=1,
        open_min=480,
        close_min=840,
        step_min=5,
        move_min=0,
        bay_turnover_min=0,
        aims=[],
    )
    session.add(day)
    session.flush()
    assert day.id is not None
    for number in range(EVENTS):
        event = LiveEvent(
            day_id=day.id,
            key=f"{date} {number}",
            visit_id=visit,
            kind="started",
            at=now(),
            received_at=now(),
            actor="bench",
            detail={},
        )
        session.add(event)
    session.flush()
    write_figures(session, day, sums, _actual(sums), {"event": event.id or 0, "step": 0})
    session.add(
        SavedPlan(day_id=day.id, version=1, is_current=True, status="feasible", scores={}, bounds={}, saved_at=now())
    )


def _timed(store: Store, months: int) -> float:
    began = perf_counter()
    last = FIRST + datetime.timedelta(days=_days(months) - 1)
    found = read_range(store, FIRST, last, last + datetime.timedelta(days=1))
    record = Record(found.recorded, found.recorded_weekdays, found.recorded_whole)
    shown = use_page(FIRST, last, (), found.whole, found.weekdays, found.weeks, found.uncounted, {}, record)
    seconds = perf_counter() - began
    assert shown.days == shown.recorded == _days(months)
    assert shown.treatments
    assert shown.both is not None
    return seconds


def _days(months: int) -> int:
    """Every day of the months, also those on which a clinic would be closed."""
    return round(months * 365 / 12)


def _say(line: str) -> None:
    sys.stdout.write(line + "\n")


if __name__ == "__main__":
    main()
