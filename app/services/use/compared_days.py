"""Days compared one after the other with variants of themselves, in a process of its own."""

import datetime
from collections.abc import Callable
from dataclasses import dataclass

from app.services.use.one_job import Progress
from solver.errors import NoPlanInTimeError
from solver.problem import Day
from solver.progress import StopRequest
from solver.schedule import Plan
from solver.variants import Kind, variants
from solver.whatif import Comparison, compare


@dataclass(frozen=True, slots=True)
class DayAsked:
    """``kept``: the plan that is kept of the day; None where it has none."""

    day: Day
    kept: Plan | None


@dataclass(frozen=True, slots=True)
class ComparedDay:
    """``comparison`` None: the day itself has no plan, and ``why`` not. ``from_kept``: visits are followed from it."""

    date: datetime.date
    comparison: Comparison | None
    from_kept: bool
    why: str = ""


Found = tuple[ComparedDay, ...]


def searches(day: Day, kinds: tuple[Kind, ...]) -> int:
    """How many the day takes: its own, and one for each variant of the kinds."""
    return 1 + sum(variant.kind in kinds for variant in variants(day))


def compared_days(
    days: tuple[DayAsked, ...],
    seconds: int,
    kinds: tuple[Kind, ...],
    tell: Callable[[Progress[Found]], None],
    should_stop: StopRequest,
) -> Found:
    """Two searches run side by side. Stopped: the days until then, the last perhaps with some of its variants."""
    found: Found = ()
    done = 0
    for asked in days:
        if should_stop():
            break
        last = _compared(asked, seconds, kinds, _teller(tell, done, found), should_stop)
        done += searches(asked.day, kinds)
        if last.comparison is None or last.comparison.day is not None:
            found += (last,)
            tell(Progress(done, found))
    return found


def _teller(tell: Callable[[Progress[Found]], None], done: int, found: Found) -> Callable[[ComparedDay, int], None]:
    """Tells of a day as far as it is, beside the days before it."""
    return lambda day, searched: tell(Progress(done + searched, (*found, day)))


def _compared(
    asked: DayAsked,
    seconds: int,
    kinds: tuple[Kind, ...],
    tell: Callable[[ComparedDay, int], None],
    should_stop: StopRequest,
) -> ComparedDay:
    date, kept = asked.day.date, asked.kept
    searched = 0

    def found(so_far: Comparison) -> None:
        nonlocal searched
        searched += 1
        tell(ComparedDay(date, so_far, kept is not None), searched)

    why = "What is fixed cannot all stand, so that the day itself has no plan."
    comparison = None
    try:
        comparison = compare(
            asked.day, seconds=seconds, kinds=kinds, workers=2, kept=kept, found=found, should_stop=should_stop
        )
    except NoPlanInTimeError:
        why = f"No plan of the day itself was found within {seconds} s."
    return ComparedDay(date, comparison, kept is not None, "" if comparison else why)
