"""The first plan, before any search."""

import pytest

from solver.compose import explained, plan_of
from solver.construct import construct
from solver.schedule import Plan
from solver.verify import verify
from tests.bench.cases import Case
from tests.builders import a_channel, a_day, a_part, a_therapist, a_unit, a_visit, fixed, fixed_part, hands_on


@pytest.mark.parametrize(("size", "seed"), [("M", 2), ("M", 3), ("L", 1)])
def test_a_day_that_has_begun_has_a_first_plan(size: str, seed: int) -> None:
    """Everything begun is fixed; hands that anyone may give must not be those of a therapist who is wanted then."""
    day = Case(kind="repair", name=size, seed=seed, seconds=1).day()
    ledger = construct(day)
    assert ledger is not None
    assert {visit.id for visit in day.visits if visit.fixed is not None} <= set(ledger.visits)
    assert verify(day, plan_of(day, ledger.visits, ledger.breaks)) == []


def test_a_fixed_visit_without_room_is_tried_again_first() -> None:
    """V1 would take the one therapist's hands first, though the other could do it; V2 is fixed to that one."""
    by_anyone, by_therapist = a_part(hands_on(20, "anyone")), a_part(hands_on(20))
    day = a_day(
        a_visit(by_anyone, id="V1", fixed=fixed(fixed_part(start="09:00", unit="U1"))),
        a_visit(by_therapist, id="V2", fixed=fixed(fixed_part(start="09:00"), therapist="T1")),
        units=[a_unit(channels=[a_channel("c1", "pads"), a_channel("c2", "pads")], patients_at_once=2)],
        staff=[a_therapist("T1"), a_therapist("T2")],
    )
    ledger = construct(day)
    assert ledger is not None
    assert ledger.visits["V2"].therapist == "T1"
    assert ledger.visits["V1"].parts[0].hands == ("T2",)


def test_two_fixed_visits_for_one_therapist_have_no_first_plan() -> None:
    one = fixed(fixed_part(start="09:00"), therapist="T1")
    day = a_day(*(a_visit(a_part(hands_on(20)), id=id, fixed=one) for id in ("V1", "V2")), staff=[a_therapist("T1")])
    assert construct(day) is None


def test_the_plan_of_the_first_order_is_told_before_another_is_tried() -> None:
    """On this day somebody is left out by the order of wishes, and nobody by urgency."""
    day = Case(kind="day", name="S", seed=1, seconds=1).day()
    first: list[Plan] = []
    ledger = construct(day, lambda early: first.append(plan_of(day, early.visits, early.breaks)))
    assert ledger is not None
    plan = plan_of(day, ledger.visits, ledger.breaks)
    assert [verify(day, explained(day, told)) for told in first] == [[]]
    assert first[0].scores["placed"] > plan.scores["placed"] == 0
