"""Stays: the whole visit with ``same_unit``, each part otherwise."""

from solver.clock import Interval
from solver.stays import stays_of
from tests.builders import a_day, a_part, a_plan, a_unit, a_visit, hands_on, placed, placed_part, span

PARTS = (a_part(hands_on(10)), a_part(hands_on(5)))


def test_a_visit_on_one_unit_is_one_stay_with_its_waits() -> None:
    visit = a_visit(*PARTS)
    day = a_day(visit)
    (stay,) = stays_of(day, a_plan(day, placed(visit, "09:00", "09:30")))
    assert stay.interval == span("09:00-09:35")
    assert [part.id for part, _ in stay.parts] == ["p1", "p2"]
    assert (stay.unit, stay.place, stay.bay) == ("U1", "front", "F1")


def test_a_roaming_visit_is_a_stay_for_each_part() -> None:
    visit = a_visit(*PARTS, same_unit=False)
    day = a_day(visit, units=[a_unit(), a_unit("U2")])
    first, second = visit.parts
    plan = a_plan(day, placed(visit, placed_part(first, "09:00"), placed_part(second, "09:30", unit="U2", bay="F2")))
    stays = stays_of(day, plan)
    assert [stay.interval for stay in stays] == [span("09:00-09:10"), span("09:30-09:35")]
    assert [(stay.unit, stay.bay) for stay in stays] == [("U1", "F1"), ("U2", "F2")]


def test_stays_come_by_start_whatever_the_order_of_the_plan() -> None:
    late, early = a_visit(id="V1"), a_visit(id="V2")
    day = a_day(late, early)
    plan = a_plan(day, placed(late, "11:00"), placed(early, "09:00"))
    assert [stay.visit.id for stay in stays_of(day, plan)] == ["V2", "V1"]


def test_a_stay_lasts_to_the_part_that_ends_last_though_parts_are_out_of_order() -> None:
    visit = a_visit(*PARTS)
    day = a_day(visit)
    (stay,) = stays_of(day, a_plan(day, placed(visit, "09:30", "09:00")))
    assert stay.interval == Interval(540, 580)
