"""A drained plan made right keeps what its batteries can bear, and nothing else is lost."""

from solver.compose import plan_of
from solver.masks.ledger import Ledger
from solver.masks.offers import best_offer
from solver.mending import mended
from solver.problem import Day
from solver.schedule import Plan
from solver.verify import verify
from tests.builders import a_battery, a_channel, a_day, a_part, a_place, a_unit, a_visit, hands_on


def a_day_of_two_units() -> Day:
    """Both visits wish for nine on the first unit's battery, which bears one of them; the second unit is on mains."""
    treated = a_part(hands_on(10))
    battery = a_battery(capacity_wh=1, reserve_pct=20, standby_w=1, draw_w={"pads": 3}, charge_w=0)
    channels = [a_channel("s1", "pads"), a_channel("s2", "pads")]
    return a_day(
        a_visit(treated, id="V1", wish="09:00"),
        a_visit(treated, id="V2", wish="09:10"),
        open="09:00",
        close="11:00",
        step_min=5,
        units=[a_unit("U1", channels=channels, battery=battery), a_unit("U2", channels=channels)],
        places=[a_place("front", bays=["F1", "F2"])],
    )


def drained(day: Day) -> Plan:
    """Both on the battery, one after the other."""
    ledger = Ledger(day)
    for visit in day.visits:
        placed = best_offer(ledger, visit, without=frozenset({"battery"}))
        assert placed is not None
        ledger.add(placed)
    return plan_of(day, ledger.visits, ledger.breaks)


def test_what_a_battery_cannot_bear_goes_elsewhere_and_the_rest_stays() -> None:
    day = a_day_of_two_units()
    plan = drained(day)
    assert {breach.rule for breach in verify(day, plan)} == {"battery"}
    right = mended(day, plan)
    assert verify(day, right) == []
    assert right.left_out == ()
    assert right.visits[0] == plan.visits[0]
    assert [visit.parts[0].unit for visit in right.visits] == ["U1", "U2"]


def test_a_right_plan_stays_as_it_is() -> None:
    day = a_day_of_two_units()
    right = mended(day, drained(day))
    assert mended(day, right) == right
