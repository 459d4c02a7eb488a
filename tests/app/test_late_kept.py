"""A late day made a plan to keep: what was begun has prescribed minutes, and no part comes too late after another."""

import random
from types import SimpleNamespace
from typing import cast

import pytest

from app.services.floor.happened import happened
from app.services.floor.late_kept import as_kept
from app.services.floor.reading import Reading
from solver.late import Happened, Ran, live_day, shifted
from solver.problem import Day
from solver.schedule import Plan
from solver.verify import verify
from tests.app.floor_days import Floor, instant, minute
from tests.bench.happenings import longer, on_time
from tests.bench.late import planned
from tests.builders import a_day, a_part, a_plan, a_visit, hands_on, placed


def two_parts() -> tuple[Day, Plan]:
    """Ten minutes at 09:00 and ten at 09:10; no more than five may pass between them."""
    visit = a_visit(a_part(hands_on(10)), a_part(hands_on(10), max_wait_min=5), id="V1", patient="Ann Early")
    day = a_day(visit)
    return day, a_plan(day, placed(visit, "09:00", "09:10"))


def test_what_took_longer_than_prescribed_is_kept_later_where_its_next_part_would_come_too_late() -> None:
    """The first part ends at 09:40. As prescribed it would at 09:10, half an hour before the second."""
    day, plan = two_parts()
    floor = Floor(day, plan)
    floor.run("V1", ["09:00", "09:40"], part=0)
    reading = floor.reading()
    live = shifted(live_day(day, plan, happened(reading, instant("09:40"))), plan).plan
    assert live is not None
    now, kept = as_kept(day, plan, reading, live)
    assert verify(now, kept) == []
    first, second = kept.visits[0].parts
    assert (first.start, second.start) == (minute("09:25"), minute("09:40"))


def test_what_was_within_its_wait_stays_where_it_was_planned() -> None:
    day, plan = two_parts()
    floor = Floor(day, plan)
    floor.run("V1", ["09:00", "09:14"], part=0)
    reading = floor.reading()
    live = shifted(live_day(day, plan, happened(reading, instant("09:14"))), plan).plan
    assert live is not None
    kept = as_kept(day, plan, reading, live)[1]
    assert [part.start for part in kept.visits[0].parts] == [minute("09:00"), minute("09:14")]


def _run_late(day: Day, plan: Plan, pick: random.Random) -> tuple[Happened, Plan]:
    """A morning on which parts run over, twice, and the plain right-shift of what is left."""
    now, there, run = pick.randrange(day.open + 60, day.open + 150), day, plan
    for _ in range(2):
        seen = on_time(there, run, now)
        for key in [key for key, one in seen.ran.items() if not one.over and pick.random() < 0.6]:
            seen = longer(seen, key, pick.randrange(2, 15))
        live = live_day(day, plan, seen)
        shift = shifted(live, plan).plan
        assert shift is not None
        there, run, now = live.day, shift, now + pick.randrange(20, 60)
    return seen, run


def _reading(seen: Happened) -> Reading:
    """What a kept plan asks of the Floor: which parts were begun, and which visits are over."""

    def visit(code: str) -> SimpleNamespace:
        return SimpleNamespace(parts={number: Ran for of, number in seen.ran if of == code})

    return cast("Reading", SimpleNamespace(state=SimpleNamespace(visit=visit), is_over=lambda code: code in seen.over))


@pytest.mark.parametrize("seed", [1, 3, 25, 38])
def test_a_bench_day_on_which_parts_ran_over_can_be_kept(seed: int) -> None:
    day, plan = planned("M", 1)
    seen, live = _run_late(day, plan, random.Random(seed))
    now, kept = as_kept(day, plan, _reading(seen), live)
    assert verify(now, kept) == []
    begun = {code for code, _ in seen.ran}
    assert begun <= {one.id for one in kept.visits}
