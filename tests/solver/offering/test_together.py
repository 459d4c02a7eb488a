"""Two visits at the same time: against trying every pair of placings with the verifier on small days."""

from collections.abc import Hashable
from dataclasses import replace
from itertools import count

import pytest
from hypothesis import HealthCheck, assume, event, given, settings
from hypothesis import strategies as st

from solver.aims import Costs, costs_of
from solver.errors import InputError
from solver.outline import outline_of
from solver.problem import Day
from solver.schedule import Plan
from solver.together import together
from solver.verify import verify
from solver.visits import Visit
from tests.builders import a_day, a_place, a_plan, a_therapist, a_unit, a_visit, placed
from tests.solver.offering.joint_trial import Chosen, JointTrial
from tests.solver.offering.test_offers import a_first_plan
from tests.solver.small_days import FEATURES, small_days

LONG = 600.0
"""Seconds that no case here needs."""


def pairs_by_trying(
    day: Day, plan: Plan, first: Visit, second: Visit, within: int, same_unit: bool
) -> dict[Hashable, Costs]:
    """Every start of the first visit at which both can be, with the least costs."""
    rest = replace(plan, visits=tuple(each for each in plan.visits if each.id not in (first.id, second.id)))

    def start(chosen: Chosen) -> int | None:
        """The first visit's start, where both are together."""
        one, other = (each.parts[0].start for each in chosen)
        if abs(one - other) > within:
            return None
        units = {part.unit for each in chosen for part in each.parts}
        ahead = first.minutes if one <= other else second.minutes
        return None if same_unit and (len(units) > 1 or abs(one - other) >= ahead) else one

    def costs(chosen: Chosen) -> Costs:
        a, b = (costs_of(day, v, outline_of(v, c)) for v, c in zip((first, second), chosen, strict=True))
        return tuple(max(x, y) if aim == "finish" else x + y for aim, x, y in zip(day.aims, a, b, strict=True))

    trial = JointTrial(day, rest, [first, second])
    assume(trial.small())
    return trial.least(start, costs)


@pytest.mark.parametrize("focus", FEATURES)
@settings(max_examples=4, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data())
def test_pairs_are_those_that_trying_finds_at_their_least_costs(focus: str, data: st.DataObject) -> None:
    day = data.draw(small_days(focus))
    assume(len(day.visits) <= 3)
    plan = a_first_plan(day)
    if plan is None:
        return
    first, second = data.draw(st.permutations(day.visits))[:2]
    assume(first.patient != second.patient)
    if data.draw(st.sampled_from((True, True, False))):
        day = replace(day, staff=(*day.staff, a_therapist("S9", skills=("pads", "cups"))))
    alone = a_plan(day, breaks=plan.breaks)
    if data.draw(st.sampled_from((True, True, False))) and not verify(day, alone):
        plan = alone
    within = data.draw(st.sampled_from((0, 0, day.step_min, 2 * day.step_min)))
    same_unit = data.draw(st.booleans())
    wanted = pairs_by_trying(day, plan, first, second, within, same_unit)
    every = together(day, plan, first, second, seconds=LONG, within=within, same_unit=same_unit)
    assert every.is_all
    found = every.found
    event(f"{min(len(wanted), 3)} starts or more, same unit {same_unit}")
    assert {pair.start: pair.costs for pair in found} == wanted
    assert [pair.start for pair in found] == sorted(pair.start for pair in found)
    for pair in found:
        left = tuple(each for each in plan.left_out if each.id not in (first.id, second.id))
        rest = tuple(each for each in plan.visits if each.id not in (first.id, second.id))
        whole = replace(plan, visits=(*rest, pair.first, pair.second), left_out=left)
        assert {breach.rule for breach in verify(day, whole)} <= {"scores", "status"}


def test_a_couple_needs_two_therapists_two_bays_and_on_one_unit_two_channels() -> None:
    one, two = a_visit(id="one"), a_visit(id="two")
    staff = [a_therapist(), a_therapist("T2", hours="09:00-09:30")]
    day = a_day(close="10:00", step_min=10, staff=staff, units=[a_unit(), a_unit("U2")])
    plan = a_plan(day)
    assert [pair.start for pair in together(day, plan, one, two, seconds=LONG).found] == [540, 550, 560]
    assert len(together(day, plan, one, two, seconds=LONG, within=10).found) == 6
    pair = together(day, plan, one, two, seconds=LONG, same_unit=True).found[0]
    assert pair.first.parts[0].unit == pair.second.parts[0].unit
    assert pair.first.parts[0].bay != pair.second.parts[0].bay
    assert pair.first.therapist != pair.second.therapist
    narrow = replace(day, places=(a_place(bays=("F1",)),))
    assert together(narrow, plan, one, two, seconds=LONG).found == ()


def test_what_is_in_the_plan_stays() -> None:
    one, two, there = a_visit(id="one"), a_visit(id="two"), a_visit(id="there")
    day = a_day(there, close="09:30", step_min=10, staff=[a_therapist(), a_therapist("T2")])
    plan = a_plan(day, placed(there, "09:10"))
    assert [pair.start for pair in together(day, plan, one, two, seconds=LONG).found] == [540, 560]


def test_two_visits_of_one_patient_are_refused() -> None:
    day = a_day()
    with pytest.raises(InputError, match="two patients"):
        together(day, a_plan(day), a_visit(id="one", patient="P"), a_visit(id="two", patient="P"), seconds=LONG)


def test_what_was_found_before_the_time_was_over_is_told_and_that_it_is_not_all() -> None:
    one, two = a_visit(id="one"), a_visit(id="two")
    day = a_day(close="10:00", step_min=10, staff=[a_therapist(), a_therapist("T2")])
    whole = together(day, a_plan(day), one, two, seconds=LONG)
    every = {pair.start: pair.costs for pair in whole.found}
    sizes = []
    for asked in range(400):
        cut = together(day, a_plan(day), one, two, seconds=asked, now=count().__next__)
        sizes.append(len(cut.found))
        assert {pair.start for pair in cut.found} <= set(every)
        if cut.is_all:
            assert cut == whole
            break
    assert cut.is_all
    assert sizes[0] == 0
    assert 0 < sizes[len(sizes) // 2] < len(every)
    assert sizes == sorted(sizes)
