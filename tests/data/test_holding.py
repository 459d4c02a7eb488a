"""Which visits stay while a day is planned again: who was told, unless they may move; who is there, in any case."""

from dataclasses import replace
from pathlib import Path

import pytest

from app.db.store import Store
from app.services.days import save_day
from app.services.demo_clinic import make_demo_clinic
from app.services.holding import day_to_search, held_on, plan_of_day
from app.services.placing import rescored
from app.services.visits.life import step, tell
from demo_data.make_day import DAY_FILE
from solver.search import solve
from solver.verify import verify
from tests.builders import A_DATE, fixed, fixed_part, placed
from tests.data.visit_clinic import present, save_three


@pytest.fixture
def ids(store: Store) -> dict[str, int]:
    found = save_three(store)
    tell(store, found["V1"], seen=0, read=1, actor="desk")
    step(store, found["V2"], "arrived", seen=0, actor="desk")
    return found


def starts(store: Store, free: frozenset[str] = frozenset()) -> dict[str, int]:
    """What a search of the day finds; Cy wants the minutes that Ann was told."""
    kept = present(store)
    wishing = tuple(replace(visit, priority=9) if visit.id == "V3" else visit for visit in kept.day.visits)
    day = replace(kept.day, visits=wishing)
    assert kept.plan is not None
    save_day(store, day, rescored(day, kept.plan), read=kept.version, actor="desk")
    kept = present(store)
    searched = day_to_search(kept.day, held_on(store, kept), free)
    plan = plan_of_day(kept.day, searched, solve(searched, seconds=2))
    assert verify(kept.day, plan) == []
    assert kept.day.visits == present(store).day.visits
    return {one.id: one.parts[0].start for one in plan.visits}


def test_who_was_told_stays_and_who_is_there_too(store: Store, ids: dict[str, int]) -> None:
    assert starts(store) == {"V1": 540, "V2": 570}


def test_who_is_ticked_may_move_and_who_is_there_does_not(store: Store, ids: dict[str, int]) -> None:
    found = starts(store, frozenset({"V1", "V2"}))
    assert (found["V2"], found["V3"]) == (570, 540)
    assert found["V1"] >= 550


def test_what_was_told_goes_before_where_the_plan_has_it(store: Store, ids: dict[str, int]) -> None:
    kept = present(store)
    assert kept.plan is not None
    moved = placed(kept.day.visits[0], "10:00")
    visits = tuple(moved if one.id == "V1" else one for one in kept.plan.visits)
    held = held_on(store, kept)
    save_day(store, kept.day, rescored(kept.day, replace(kept.plan, visits=visits)), read=kept.version, actor="desk")
    assert held_on(store, present(store)) == held
    assert starts(store)["V1"] == 540


def test_what_the_day_cannot_keep_any_more_is_free(store: Store, ids: dict[str, int]) -> None:
    kept = present(store)
    told = kept.day.published[0]
    elsewhere = replace(told, parts=tuple(replace(part, unit="gone") for part in told.parts))
    assert held_on(store, replace(kept, day=replace(kept.day, published=(elsewhere,)))).told == {}


def test_of_two_who_were_told_the_same_minutes_the_one_whom_the_plan_has_there_stays(
    store: Store, ids: dict[str, int]
) -> None:
    """Held both, they would leave a search with nothing to find but that they cannot stand."""
    kept = present(store)
    ann, cy = kept.day.published[0], placed(kept.day.visits[2], "09:00")
    for told in ((ann, cy), (cy, ann)):
        both = replace(kept, day=replace(kept.day, published=told))
        assert set(held_on(store, both).told) == {"V1"}


def test_who_was_told_minutes_that_something_fixed_has_by_now_is_free(store: Store, ids: dict[str, int]) -> None:
    kept = present(store)
    at_nine = fixed(fixed_part(start="09:00"))
    visits = tuple(replace(one, fixed=at_nine) if one.id == "V3" else one for one in kept.day.visits)
    clashing = replace(kept, day=replace(kept.day, visits=visits))
    held = held_on(store, clashing)
    assert held.told == {}
    assert solve(day_to_search(clashing.day, held, frozenset()), seconds=2).status != "infeasible"


def test_the_demo_day_can_be_planned_again(tmp_path: Path) -> None:
    """Its patients were told yesterday, before an hour was taken out of service: not all can stay as they were told."""
    store = make_demo_clinic(tmp_path, DAY_FILE, A_DATE)
    day = present(store).day
    save_day(store, day, solve(day, seconds=2), read=1, actor="desk")
    kept = present(store)
    held = held_on(store, kept)
    assert 0 < len(held.told) < len(day.published)
    searched = day_to_search(kept.day, held, frozenset())
    found = solve(searched, seconds=2)
    assert found.status != "infeasible"
    assert verify(kept.day, plan_of_day(kept.day, searched, found)) == []
