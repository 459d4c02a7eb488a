"""The 8-minute rule at its published boundaries: 8–22 minutes are 1 unit, 23–37 are 2, 38–52 are 3, 53–67 are 4.

Source: Centers for Medicare & Medicaid Services (CMS), counting minutes for timed codes in 15-minute units.
"""

import pytest

from solver.report import counted_units, report
from tests.builders import a_day, a_part, a_plan, a_visit, hands_on, placed, set_up, tidy_up, unattended

BOUNDARIES = ((7, 0), (8, 1), (22, 1), (23, 2), (37, 2), (38, 3), (52, 3), (53, 4))


@pytest.mark.parametrize(("minutes", "units"), BOUNDARIES)
def test_minutes_of_one_visit_count_as_published(minutes: int, units: int) -> None:
    assert counted_units(minutes) == units


@pytest.mark.parametrize(("minutes", "units"), BOUNDARIES)
def test_the_report_adds_up_a_visits_therapist_phases_before_it_counts(minutes: int, units: int) -> None:
    # Phases that are not in a therapist's hands count for nothing.
    visit = a_visit(a_part(set_up(3), unattended(10)), a_part(hands_on(minutes - 3), tidy_up(4)))
    day = a_day(visit)
    assert report(day, a_plan(day, placed(visit, "09:00")))["clinic"]["counted_units"] == units


def test_each_visit_is_counted_by_itself() -> None:
    # Two visits of 7 minutes count 0 each, although 14 minutes of one visit would count 1.
    visits = [a_visit(a_part(hands_on(7)), id=f"V{i}") for i in (1, 2)]
    day = a_day(*visits)
    plan = a_plan(day, placed(visits[0], "09:00"), placed(visits[1], "10:00"))
    assert report(day, plan)["clinic"]["counted_units"] == 0
