"""The bound that groups of visits add up to is a bound, and it finds what groups cost."""

from collections.abc import Callable

import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st

from solver.compose import plan_of
from solver.construct import construct
from solver.exact import groups
from solver.exact.groups import Group, parted, wish_bound
from solver.exact.solving import Limits
from solver.names import AimName
from solver.problem import Day
from solver.schedule import Plan
from solver.visits import Visit
from tests.builders import a_day, a_part, a_plan, a_therapist, a_unit, a_visit, at, hands_on, placed
from tests.solver.brute_force import best_scores
from tests.solver.small_days import FEATURES, small_days


def _long(seconds: float) -> Callable[[], Limits]:
    return lambda: Limits(seconds=20.0, workers=1, seed=0)


def _told(day: Day, plan: Plan, held: dict[AimName, int]) -> list[int]:
    """The bounds that are told of, one after the other."""
    bounds: list[int] = []
    wish_bound(day, held, lambda: plan, _long, told=bounds.append, should_stop=lambda: False)
    return bounds


@settings(max_examples=110, deadline=None, derandomize=True)
@given(st.sampled_from(FEATURES).flatmap(small_days))
def test_the_bound_never_passes_the_best_score(day: Day) -> None:
    """Groups of one or two visits here; the plan known is a first one, so that the bound has room to be wrong."""
    best, ledger = best_scores(day), construct(day)
    if best is None or ledger is None or "wish" not in day.aims:
        return
    plan = plan_of(day, ledger.visits, ledger.breaks)
    held = {aim: best[aim] for aim in day.aims[: day.aims.index("wish")]}
    if any(plan.scores[aim] > score for aim, score in held.items()):
        return
    with pytest.MonkeyPatch.context() as smaller:
        smaller.setattr(groups, "FEW_VISITS", 1)
        bounds = _told(day, plan, held)
    assert bounds == sorted(bounds)
    assert all(bound <= best["wish"] for bound in bounds)
    if plan.scores["wish"]:
        event("the best score" if best["wish"] == max(bounds, default=0) else "below the best score")


def _pair(id: str, wish: str) -> tuple[Visit, Visit]:
    part = a_part(hands_on(30))
    return a_visit(part, id=f"{id}1", wish=wish), a_visit(part, id=f"{id}2", wish=wish)


def _morning_and_noon() -> tuple[Day, Plan]:
    """Two at nine and two at eleven, half an hour each in the hands of one therapist, as badly placed as can be."""
    early, late = _pair("E", "09:00"), _pair("L", "11:00")
    day = a_day(*early, *late, units=[a_unit()], staff=[a_therapist()], step_min=5)
    starts = ("09:00", "10:00", "11:00", "11:30")
    plan = a_plan(day, *(placed(visit, start) for visit, start in zip((*early, *late), starts, strict=True)))
    return day, plan


def test_groups_that_are_far_apart_add_up_to_the_whole() -> None:
    """One of each two is half an hour late: that is the least, by hand, and found without the four as a whole."""
    day, plan = _morning_and_noon()
    with pytest.MonkeyPatch.context() as smaller:
        smaller.setattr(groups, "FEW_VISITS", 2)
        smaller.setattr(groups, "MOST_VISITS", 2)
        assert max(_told(day, plan, {"placed": 0, "stable": 0})) == 60


def test_a_group_of_all_is_looked_at_where_its_halves_leave_something_open() -> None:
    """Six quarters of an hour at nine and at a quarter past, one therapist: each three alone cost less than they do.

    By hand: one after the other from opening at nine they begin 225 minutes after it in all, 45 were wished for, and
    none can come before its wish and spare minutes. Alone three cost 45 minutes, and the others 30.
    """
    part = a_part(hands_on(15))
    visits = [a_visit(part, id=f"V{n}", wish="09:00" if n < 3 else "09:15") for n in range(6)]
    day = a_day(*visits, units=[a_unit()], staff=[a_therapist()], step_min=15)
    starts = ("09:00", "09:15", "09:30", "09:45", "10:00", "10:15")
    plan = a_plan(day, *(placed(visit, start) for visit, start in zip(visits, starts, strict=True)))
    with pytest.MonkeyPatch.context() as smaller:
        smaller.setattr(groups, "FEW_VISITS", 3)
        bounds = _told(day, plan, {"placed": 0, "stable": 0})
    assert day.open == at("09:00")
    assert (bounds[0], bounds[-1]) == (45, 225 - 45)


def test_without_time_nothing_is_told() -> None:
    day, plan = _morning_and_noon()
    bounds: list[int] = []
    wish_bound(day, {"placed": 0}, lambda: plan, lambda seconds: None, told=bounds.append, should_stop=lambda: False)
    wish_bound(day, {"placed": 0}, lambda: plan, _long, told=bounds.append, should_stop=lambda: True)
    assert bounds == []


def test_groups_are_cut_at_the_widest_gap_between_wishes() -> None:
    minutes = (540, 545, 550, 555, 560, 565, 700, 705, 710, 715, 720, 725)
    visits = [a_visit(id=f"V{minute}", wish=minute) for minute in minutes]
    whole = parted(visits)
    assert [_wishes(half) for half in whole.halves] == [list(minutes[:6]), list(minutes[6:])]
    assert not any(half.halves for half in whole.halves)
    alike = parted([a_visit(id=f"V{n}", wish=at("10:00")) for n in range(30)])
    assert not alike.halves, "one hour is never cut"


def _wishes(group: Group) -> list[int | None]:
    return [visit.wish for visit in group.visits]
