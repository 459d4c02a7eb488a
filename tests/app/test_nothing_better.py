"""A search that finds nothing better leaves the plan as it was, whoever it would have sent elsewhere."""

from dataclasses import replace

from app.services.nothing_better import as_good, proved_by
from solver.compose import plan_of
from solver.problem import Day
from solver.schedule import Plan
from tests.builders import a_day, a_part, a_therapist, a_visit, hands_on, placed


def day_for(*, tess_until: str = "12:00") -> Day:
    tess = a_therapist("Tess", hours=f"09:00-{tess_until}")
    return a_day(a_visit(a_part(hands_on(30)), id="V1", wish="10:00"), staff=[tess, a_therapist("Sam")])


def plan_with(day: Day, start: str, therapist: str) -> Plan:
    return plan_of(day, {"V1": placed(day.visits[0], start, hands=therapist)}, {})


def test_other_hands_at_the_same_scores_are_nothing_better() -> None:
    day = day_for()
    assert as_good(day, plan_with(day, "10:00", "Tess"), plan_with(day, "10:00", "Sam"))
    assert as_good(day, plan_with(day, "10:10", "Tess"), plan_with(day, "10:20", "Sam"))


def test_nearer_to_the_wish_is_better() -> None:
    day = day_for()
    assert not as_good(day, plan_with(day, "10:10", "Tess"), plan_with(day, "10:00", "Tess"))


def test_a_plan_that_is_not_right_any_more_is_not_as_good() -> None:
    before, now = day_for(), day_for(tess_until="10:15")
    kept = plan_with(before, "10:00", "Tess")
    assert as_good(before, kept, plan_with(before, "10:05", "Sam"))
    assert not as_good(now, kept, plan_with(now, "10:05", "Sam"))


def test_what_is_proved_of_the_day_is_kept_at_the_same_scores_only() -> None:
    day = day_for()
    kept, found = plan_with(day, "10:10", "Tess"), plan_with(day, "10:10", "Sam")
    proof = replace(found, status="optimal", bounds=found.scores)
    proved = proved_by(kept, proof)
    assert (proved.visits, proved.status, proved.bounds) == (kept.visits, "optimal", kept.scores)
    assert proved_by(kept, plan_with(day, "10:20", "Sam")) is kept
    assert proved_by(replace(kept, status="optimal", bounds=kept.scores), found).status == "optimal"
    of_wish = replace(kept, bounds={**kept.bounds, "wish": 5})
    of_finish = replace(found, bounds={**found.bounds, "finish": 7})
    both = proved_by(of_wish, of_finish).bounds
    assert (both["wish"], both["finish"]) == (5, 7)
