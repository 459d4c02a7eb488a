"""Which visits stay while a day is planned again: who was told, unless they may move; who is there, in any case."""

from dataclasses import replace

import pytest

from app.db.store import Store
from app.services.days import save_day
from app.services.holding import day_to_search, held_on, plan_of_day
from app.services.placing import rescored
from app.services.visits.life import step, tell
from solver.search import solve
from solver.verify import verify
from tests.builders import placed
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
