"""Planning days again: one search for each day at a time, followed by a thread, joined by whoever asks meanwhile.

What is found for a day without a plan is saved at once. Where there is a plan, somebody may have been told of it: then
what is found is a proposal, and nothing is saved before the desk accepts it. Where it is no better, the plan stays, and
what was proved of it is saved.
"""

import datetime
import threading
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

from app.db.store import Store
from app.errors import StaleDayError, StoreError
from app.services.days import KeptDay, kept_day, save_day
from app.services.holding import day_to_search, held_on, plan_of_day
from app.services.nothing_better import as_good, proved_by
from app.services.proposals import Proposals
from app.worker import Solve, Worker, search
from solver.compose import explained
from solver.errors import Fault, InputError, PlanRefusedError
from solver.known_names import with_known_names
from solver.names import AimName
from solver.problem import Day
from solver.progress import Progress
from solver.schedule import Plan
from solver.verify import verify

MOST_SECONDS = 120
MOST_AT_ONCE = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Search:
    """The state of a search. ``ended``: not any more; then ``message`` says how, ``lines`` what went wrong.

    ``proposed``: it ended with a proposal.
    """

    aims: tuple[AimName, ...]
    limit: int
    began: float
    aim: AimName | None = None
    scores: Mapping[AimName, int] = field(default_factory=dict)
    bounds: Mapping[AimName, int] = field(default_factory=dict)
    cancelling: bool = False
    ended: bool = False
    seconds: float = 0.0
    message: str = ""
    proposed: bool = False
    lines: tuple[str, ...] = ()

    def elapsed(self, now: float) -> float:
        return self.seconds if self.ended else now - self.began


class Planning:
    """Starts, follows and stops searches, and keeps what they find."""

    def __init__(self, store: Store, solve: Solve = search, time_now: Callable[[], float] = time.monotonic) -> None:
        self.time_now = time_now
        self.proposals = Proposals(store)
        self._store = store
        self._solve = solve
        self._lock = threading.Lock()
        self._workers: dict[datetime.date, Worker] = {}
        self._threads: dict[datetime.date, threading.Thread] = {}
        self._searches: dict[datetime.date, Search] = {}

    def current(self, date: datetime.date) -> Search | None:
        """The day's running search, else its last one, else None."""
        return self._searches.get(date)

    def start(self, date: datetime.date, seconds: int, *, actor: str, free: frozenset[str] = frozenset()) -> Search:
        """Read the day and start a search; join the running one where there is one. ``actor`` saves what it finds.

        ``free``: visits that may move although their patients were told. Raises InputError where there is no such day,
        or no process can be started; then nothing runs.
        """
        kept = kept_day(self._store, date)
        if kept is None:
            raise InputError([Fault("day", f"nobody is booked on {date}", "book a visit first")])
        searched = kept.day if kept.plan is None else day_to_search(kept.day, held_on(self._store, kept), free)
        with self._lock:
            running = self._searches.get(date)
            if running is not None and not running.ended:
                return running
            if sum(not search.ended for search in self._searches.values()) >= MOST_AT_ONCE:
                what = f"{MOST_AT_ONCE} other days are being planned"
                raise InputError([Fault("solver", what, "try again when one is done")])
            try:
                worker = Worker(searched, seconds, self._solve)
            except OSError as error:
                what = f"no process could be started ({error.strerror})"
                raise InputError([Fault("solver", what, "close other programs and try again")]) from None
            self.proposals.discard(date)
            begun = Search(aims=kept.day.aims, limit=seconds, began=self.time_now())
            self._workers[date], self._searches[date] = worker, begun
            thread = threading.Thread(target=self._follow, args=(worker, kept, searched, free, actor), daemon=True)
            self._threads[date] = thread
            thread.start()
            return begun

    def cancel(self, date: datetime.date) -> None:
        """Stop the day's running search and keep its best plan so far; nothing happens where none runs."""
        with self._lock:
            running = self._searches.get(date)
            if running is None or running.ended:
                return
            self._searches[date] = replace(running, cancelling=True)
            self._workers[date].stop()

    def wait(self, date: datetime.date, seconds: float) -> None:
        """Until the day's running search has ended, but no longer than the seconds."""
        if date in self._threads:
            self._threads[date].join(seconds)

    def close(self) -> None:
        """Stop whatever runs and wait for its end."""
        for date in list(self._searches):
            self.cancel(date)
        for date in list(self._searches):
            self.wait(date, 5)

    def _follow(self, worker: Worker, kept: KeptDay, searched: Day, free: frozenset[str], actor: str) -> None:
        date = kept.day.date
        outcome = worker.follow(lambda progress: self._told(date, progress))
        stays = "The plan on show is unchanged."
        if outcome.plan is None:
            self._end(date, f"{outcome.error[:1].upper()}{outcome.error[1:]}. {stays}")
            return
        if outcome.plan.status == "infeasible":
            lines = tuple(f"{clash.id}: {', '.join(clash.rules)}" for clash in outcome.plan.conflict)
            self._end(date, f"The fixed visits and the breaks cannot all stand. {stays}", lines)
            return
        found, how = outcome.plan, "Stopped; the best so far is" if outcome.stopped else "Finished:"
        if kept.plan is None:
            self._save(kept, found, how, actor)
            return
        breaches = verify(searched, found)
        if not breaches:
            if as_good(searched, kept.plan, found):
                # What is proved of a day in which some may not move says nothing of the day itself.
                own = explained(kept.day, proved_by(kept.plan, found)) if searched == kept.day else kept.plan
                self._save(kept, own, how, actor)
                return
            found = explained(searched, with_known_names(searched, found, kept.plan.visits))
            plan = plan_of_day(kept.day, searched, found)
            breaches = verify(searched, found) or verify(kept.day, plan)
        if breaches:
            lines = tuple(str(breach) for breach in breaches)
            self._end(date, f"The solver’s plan broke a rule and is not proposed. {stays}", lines)
            return
        self.proposals.put(kept, plan, free)
        self._end(date, f"{how} a proposal. {stays}", proposed=True)

    def _save(self, kept: KeptDay, plan: Plan, how: str, actor: str) -> None:
        date, stays = kept.day.date, "The plan on show is unchanged."
        try:
            version = save_day(self._store, kept.day, plan, read=kept.version, actor=actor)
        except PlanRefusedError as error:
            self._end(date, "The solver’s plan broke a rule and was not saved.", tuple(error.lines))
        except StaleDayError as error:
            self._end(date, f"The day was changed while it was planned. {stays}", tuple(error.changes))
        except StoreError as error:
            self._end(date, f"The plan could not be saved. {stays}", (str(error),))
        else:
            same = " as it was: nothing better was found" if kept.plan is not None else ""
            self._end(date, f"{how} version {version}{same}.")

    def accept(self, date: datetime.date, number: int, *, actor: str) -> int:
        """Save the proposal; the day's version then. Raises as ``Proposals.accept``."""
        version = self.proposals.accept(date, number, actor=actor)
        self._say(date, f"The proposal was accepted: version {version}.")
        return version

    def discard(self, date: datetime.date, number: int) -> None:
        self.proposals.discard(date, number)
        self._say(date, "The proposal was discarded. The plan on show is unchanged.")

    def _say(self, date: datetime.date, message: str) -> None:
        with self._lock:
            if date in self._searches and self._searches[date].ended:
                self._searches[date] = replace(self._searches[date], message=message, proposed=False, lines=())

    def _told(self, date: datetime.date, progress: Progress) -> None:
        with self._lock:
            told = self._searches[date]
            self._searches[date] = replace(told, aim=progress.aim, scores=progress.scores, bounds=progress.bounds)

    def _end(self, date: datetime.date, message: str, lines: tuple[str, ...] = (), *, proposed: bool = False) -> None:
        with self._lock:
            seconds = self.time_now() - self._searches[date].began
            ended = replace(self._searches[date], ended=True, seconds=seconds, message=message, lines=lines)
            self._searches[date] = replace(ended, proposed=proposed)
