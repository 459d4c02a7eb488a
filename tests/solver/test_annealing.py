"""Rounds of annealing, zones of those who work together, and what they tell each other."""

import queue
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from solver import annealing
from solver.annealing import Annealing, FromFellow, Heard, Proved, Task, rounds, zones
from solver.changes import Change, changed, snapshot_of
from solver.clock import DAY_MIN
from solver.compose import plan_of
from solver.improve import Improver
from solver.verify import verify
from tests.solver.first_plans import planned


@given(first=st.floats(0.01, 50), seconds=st.floats(0.01, 500))
def test_rounds_follow_each_other_to_the_end_and_none_is_shorter_than_the_one_before(
    first: float, seconds: float
) -> None:
    found = list(rounds(first, seconds))
    assert (found[0][0], found[-1][1]) == (0.0, seconds)
    assert all(until == since for (_, until), (since, _) in pairwise(found))
    lengths = [until - since for since, until in found]
    assert lengths[0] >= min(first, seconds)
    assert all(2 * early <= late * (1 + 1e-9) for early, late in pairwise(lengths[:-1]))
    assert all(early <= late * (1 + 1e-9) for early, late in pairwise(lengths))


def test_each_round_is_twice_as_long_as_the_one_before() -> None:
    assert list(rounds(2.0, 30.0)) == [(0.0, 2.0), (2.0, 6.0), (6.0, 14.0), (14.0, 30.0)]
    assert list(rounds(2.0, 20.0)) == [(0.0, 2.0), (2.0, 6.0), (6.0, 20.0)]


def test_zones_part_the_day_and_what_is_at_a_border_at_one_time_is_not_at_another() -> None:
    day, plan = planned("M", 1)
    starts = [placed.parts[0].start for placed in plan.visits]
    turns = list(zip(*(zones(Task(day, plan, 0, 1.0, member, 3)) for member in range(3)), strict=True))
    assert len(turns) == 2
    for turn in turns:
        assert (turn[0].start, turn[-1].end) == (0, DAY_MIN)
        assert all(early.end == late.start for early, late in pairwise(turn))
        assert all(sum(zone.start <= start < zone.end for start in starts) >= 5 for zone in turn)
    assert not {zone.end for zone in turns[0][:-1]} & {zone.end for zone in turns[1][:-1]}
    assert set(zones(Task(day, plan, 0, 1.0))) == {(0, DAY_MIN)}


def test_what_a_fellow_has_found_is_taken_over_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """The second one finds nothing by itself here."""
    day, plan = planned("M", 2)
    first: list[Change] = []
    Annealing(Task(day, plan, 0, 1.0, 0, 2), queue.SimpleQueue(), first.append).run()
    told: queue.SimpleQueue[Heard] = queue.SimpleQueue()
    for by in first:
        told.put(FromFellow(0, by))
    monkeypatch.setattr(Improver, "step", lambda self, spent: False)
    second: list[Change] = []
    Annealing(Task(day, plan, 1, 0.3, 1, 2), told, second.append).run()
    wishes = []
    for news in (first, second):
        best = snapshot_of(plan)
        for by in news:
            best = changed(best, by)
            assert verify(day, plan_of(day, *best)) == []
        wishes.append(plan_of(day, *best).scores["wish"])
    assert wishes[0] < plan.scores["wish"]
    assert wishes[1] < plan.scores["wish"]


def test_nothing_is_tried_for_what_is_proved_in_this_round_and_the_next(monkeypatch: pytest.MonkeyPatch) -> None:
    day, plan = planned("M", 2)
    seen: dict[Improver, set[int]] = {}

    def step(improver: Improver, spent: float) -> bool:
        seen.setdefault(improver, set()).add(improver.proved)
        return False

    monkeypatch.setattr(Improver, "step", step)
    monkeypatch.setattr(annealing, "FIRST_ROUND_SECONDS", 0.5 / len(day.visits))
    told: queue.SimpleQueue[Heard] = queue.SimpleQueue()
    told.put(Proved(3))
    Annealing(Task(day, plan, 0, 1.5), told, lambda by: None).run()
    first, second = seen.values()
    assert (first, second) == ({0, 3}, {3})


def test_it_goes_on_at_once_from_a_better_plan_found_elsewhere() -> None:
    day, plan = planned("M", 2)
    found: list[Change] = []
    Annealing(Task(day, plan, 0, 1.5), queue.SimpleQueue(), found.append).run()
    better = snapshot_of(plan)
    for by in found:
        better = changed(better, by)
    told: queue.SimpleQueue[Heard] = queue.SimpleQueue()
    told.put(plan_of(day, *better))
    news: list[Change] = []
    Annealing(Task(day, plan, 0, 0.3), told, news.append).run()
    first = plan_of(day, *changed(snapshot_of(plan), news[0]))
    assert first.scores["wish"] <= plan_of(day, *better).scores["wish"] < plan.scores["wish"]
