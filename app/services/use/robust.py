"""How the plan of a day stands up to chance: one plan at a time is run many times, in a process of its own.

Nothing of the day is changed by it. The last one is kept for the page and its tables until the next.
"""

import datetime
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial

from app.db.store import Store
from app.queries.clinics import the_clinic
from app.queries.day_figures import planned_dates
from app.services.days import KeptDay, kept_day
from app.services.use.one_job import Asked, OneJob, Progress, error_words
from app.typed import decimal_of, whole
from app.worker import Ended
from solver.errors import Fault, InputError
from solver.problem import Day
from solver.progress import StopRequest
from solver.schedule import Plan
from solver.simulation import Settings, Simulated, most_steps, steps

MOST_RUNS = 10_000
MOST_SEED = 2**31 - 1
AHEAD = datetime.timedelta(days=366)
"""How far the next day with a plan is looked for."""
SHARES = ("late_share", "missed_share", "overrun_share")
MEANS = ("late_mean", "overrun_mean")

Try = Callable[[Day, Plan, Settings, int, int, Callable[[Progress[Simulated]], None], StopRequest], Simulated | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried(Asked[Simulated]):
    """``version``: of the day when it was begun. ``starts``: of its placed visits, in minutes from midnight.

    ``day``: as it was then.
    """

    date: datetime.date
    runs: int
    seed: int
    settings: Settings
    version: int
    day: Day
    starts: Mapping[str, int]


class RobustRoom(OneJob[Tried, Simulated]):
    field = "day"
    busy = "a plan is being tried out"

    def __init__(self, store: Store, run: Try | None = None) -> None:
        super().__init__()
        self._store = store
        self._run: Try = run or tried_out

    def start(self, date: datetime.date, settings: Settings, runs: int, seed: int) -> None:
        """Raises InputError where the day has no plan with anybody in it, or another is tried out."""
        kept = kept_day(self._store, date)
        if kept is None or kept.plan is None or not kept.plan.visits:
            raise InputError([Fault("day", f"no plan is kept of {date}", "choose a day that is planned")])
        work = partial(self._run, kept.day, kept.plan, settings, runs, seed)
        self._begin(_asked(kept, kept.plan, settings, runs, seed), work, "stopped before the first runs")

    def suggested(self, today: datetime.date) -> datetime.date:
        """The next day after today that has a plan; today where there is none."""
        with self._store.reading() as session:
            dates = planned_dates(session, the_clinic(session).id or 0, today + datetime.timedelta(1), today + AHEAD)
        return dates[0] if dates else today

    def _how(self, ended: Ended[Simulated], current: Tried) -> str:
        if ended.error:
            return error_words(ended)
        if not ended.stopped:
            return "Finished."
        done = ended.found.figures["runs"] if ended.found else 0
        return f"Stopped after {done} of {current.runs} runs; what they found is below."


def settings_of(texts: Mapping[str, str]) -> Settings:
    """The settings of what was typed, shares as per cent. Raises InputError with the faults of each field."""
    faults = []
    numbers: dict[str, float] = {}
    for name in (*SHARES, *MEANS):
        number = decimal_of(texts[name])
        if number is None:
            faults.append(Fault(name, "that is no number", "give one such as 7.7, or 0"))
        elif name in SHARES and number > 100:
            faults.append(Fault(name, "that is more than all", "give a per cent from 0 to 100"))
        else:
            numbers[name] = round(number / 100, 6) if name in SHARES else number
    limit = whole(texts["late_limit"])
    if limit is None:
        faults.append(Fault("late_limit", "that is no whole number", "give minutes, or 0 for no limit"))
    if limit is None or faults:
        raise InputError(faults)
    try:
        return Settings(**numbers, late_limit=limit)
    except InputError as error:
        raise InputError(_of_field(fault) for fault in error.faults) from None


def _of_field(fault: Fault) -> Fault:
    """A fault of ``--late-mean`` as one of the field ``late_mean``."""
    return Fault(fault.where.removeprefix("--").replace("-", "_"), fault.what, fault.right)


def tried_out(
    day: Day,
    plan: Plan,
    settings: Settings,
    runs: int,
    seed: int,
    tell: Callable[[Progress[Simulated]], None],
    should_stop: StopRequest,
) -> Simulated | None:
    """The work of the process. Stopped: what the runs until then found."""
    found = None
    for step in steps(day, plan, settings, runs=runs, seed=seed):
        found = step.found
        tell(Progress(step.done, found))
        if should_stop():
            break
    return found


def _asked(kept: KeptDay, plan: Plan, settings: Settings, runs: int, seed: int) -> Tried:
    return Tried(
        of=most_steps(runs),
        date=kept.day.date,
        runs=runs,
        seed=seed,
        settings=settings,
        version=kept.version,
        day=kept.day,
        starts={placed.id: placed.parts[0].start for placed in plan.visits},
    )
