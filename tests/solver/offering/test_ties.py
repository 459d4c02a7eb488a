"""Offers where a visit's own parts and stays are tied together, or where taking it out changes what is left."""

from collections.abc import Sequence
from dataclasses import replace

import pytest

from solver.offers import offers
from solver.problem import Day
from solver.schedule import Plan
from solver.verify import verify
from solver.visits import Visit
from tests.builders import (
    a_battery,
    a_channel,
    a_day,
    a_part,
    a_place,
    a_plan,
    a_therapist,
    a_unit,
    a_visit,
    an_applicator,
    fixed,
    fixed_part,
    hands_on,
    placed,
    still,
    unattended,
)
from tests.solver.offering.test_offers import keeps_every_rule, starts_by_trying


def starts_of(day: Day, plan: Plan, visit: Visit) -> list[int]:
    """The starts offered, each right by the verifier."""
    found = offers(day, plan, visit)
    with_it = day if visit.id in day.visit_by_id else replace(day, visits=(*day.visits, visit))
    assert all(keeps_every_rule(with_it, plan, offer) for offer in found)
    return [offer.parts[0].start for offer in found]


def test_an_item_that_the_second_stay_needs_is_left_for_it_by_the_first() -> None:
    """Item 1 is free all day, item 2 until 09:20 only; the second part must have the one that is free, and clean."""
    busy = a_visit(a_part(still(100), applicators={"heads": 1}), id="busy")
    roams = a_visit(
        a_part(still(10), applicators={"heads": 1}),
        a_part(still(10), applicators={"heads": 1}, max_wait_min=0),
        id="roams",
        same_unit=False,
    )
    pool = an_applicator("heads", 2, turnaround_min=10)
    day = a_day(busy, roams, step_min=10, applicators=[pool], close="11:00")
    plan = a_plan(day, placed(busy, "09:20", items={"heads": ["heads-2"]}))
    assert starts_of(day, plan, roams) == [540]
    items = [part.items["heads"] for part in offers(day, plan, roams)[0].parts]
    assert items == [("heads-2",), ("heads-1",)]


@pytest.mark.parametrize("same_unit", [True, False])
@pytest.mark.parametrize("most", [None, 15])
def test_parts_with_very_many_waits_are_offered_at_every_start(same_unit: bool, most: int | None) -> None:
    """Four parts, with thousands of ways to space them where waits have no limit."""
    parts = [a_part(hands_on(4, hands), max_wait_min=most) for hands in ("therapist", "anyone", "therapist", "anyone")]
    many = a_visit(*parts, id="many", same_unit=same_unit)
    blocks = [a_visit(a_part(hands_on(10)), id=f"block {n}") for n in range(6)]
    day = a_day(*blocks, many, step_min=5, close="10:30", units=[a_unit(), a_unit("U2")])
    plan = a_plan(day, *(placed(block, 545 + 15 * n) for n, block in enumerate(blocks)))
    # T1 is free at 09:00, 09:15, 09:30, 09:45, 10:00, 10:15 and from 10:30, five minutes each.
    assert starts_of(day, plan, many) == [540, 555, 570]


def test_a_visit_that_kept_a_battery_alive_cannot_go_where_it_does_not() -> None:
    """Moving costs a unit its charge just before a stay: the visit between, at the place of the next one, saved it."""
    battery = a_battery(capacity_wh=10, reserve_pct=50, standby_w=10, charge_w=100, min_charge_min=1)
    unit = a_unit(places=("front", "back"), battery=battery)
    first, between, last = (
        a_visit(a_part(still(minutes), channels={}), id=id)
        for id, minutes in (("first", 10), ("between", 10), ("last", 25))
    )
    places = [a_place(), a_place("back", ["B1", "B2"])]
    units = [unit, a_unit("U2")]
    day = a_day(first, between, last, step_min=10, close="10:30", move_min=10, units=units, places=places)
    there = (placed(first, "09:00"), placed(last, "10:00", place="back", bay="B1"))
    assert {breach.rule for breach in verify(day, a_plan(day, *there))} == {"battery"}
    plan = a_plan(day, *there, placed(between, "09:40", place="back", bay="B1"))
    wanted = starts_by_trying(day, plan, between)
    assert starts_of(day, plan, between) == sorted(wanted)
    assert {offer.parts[0].unit for offer in offers(day, plan, between)} == {"U1"}
    assert 540 not in wanted


def test_a_stay_may_save_the_next_stay_of_its_own_visit_a_move() -> None:
    """Moving costs a unit its charge just before the second part, unless the first stood at its place already."""
    battery = a_battery(capacity_wh=10, reserve_pct=50, standby_w=10, charge_w=100, min_charge_min=1)
    earlier = a_visit(a_part(still(10), channels={}), id="earlier")
    parts = [a_part(still(minutes), channels={}, max_wait_min=10) for minutes in (10, 25)]
    roams = a_visit(*parts, id="roams", patient="new", same_unit=False, free="09:40-10:30", place_tags=["quiet"])
    places = [a_place(), a_place("back", ["B1"], tags=["quiet"])]
    unit = a_unit(places=("front", "back"), battery=battery)
    day = a_day(earlier, roams, step_min=10, close="10:30", move_min=10, units=[unit], places=places)
    plan = a_plan(day, placed(earlier, "09:00"))
    assert list(starts_by_trying(day, plan, roams)) == [580]
    assert starts_of(day, plan, roams) == [580]


def test_another_patient_and_another_suction_level_than_the_days_are_known_at_once() -> None:
    at_20 = a_visit(a_part(unattended(30), channels={"cups": 1}, suction_kpa=20), id="at 20")
    day = a_day(at_20, step_min=15, close="10:30")
    plan = a_plan(day, placed(at_20, "09:30"))
    new = a_visit(a_part(unattended(15), channels={"cups": 1}, suction_kpa=35), id="new", patient="new")
    assert starts_of(day, plan, new) == [540, 555, 600, 615]
    assert starts_of(day, plan, replace(new, parts=(replace(new.parts[0], suction_kpa=20),))) == [
        540, 555, 570, 585, 600, 615,
    ]  # fmt: skip


def test_a_new_visit_may_use_a_watch_larger_than_the_day_has_parts() -> None:
    runs = a_visit(a_part(unattended(30)), id="runs")
    day = a_day(runs, step_min=15, close="10:00", staff=[a_therapist(watch_free=2)])
    plan = a_plan(day, placed(runs, "09:00"))
    new = a_visit(a_part(unattended(30)), id="new", patient="new")
    assert starts_of(day, plan, new) == [540, 555, 570]


def lists(**given: Sequence[str]) -> dict[str, Sequence[str]]:
    return given


def test_an_empty_list_that_is_fixed_asks_for_nothing() -> None:
    some = a_visit(a_part(still(10)), fixed=fixed(fixed_part(channels=lists(pads=["s2"], cups=[]), items=lists(x=[]))))
    day = a_day(some, step_min=15, close="10:00", applicators=[an_applicator("x")])
    plan = a_plan(day, placed(some, "09:00", channels={"pads": ["s2"]}))
    assert starts_of(day, plan, some) == [540, 555, 570, 585]


def test_the_least_harmful_unit_and_therapist_are_offered() -> None:
    some = a_visit(a_part(hands_on(10)))
    simple = a_unit("U2", channels=[a_channel("s1", "pads")])
    staff = [a_therapist("T1", skills=["suction", "sound"]), a_therapist("T2", skills=["sound"])]
    day = a_day(some, step_min=15, close="10:00", units=[a_unit(), simple], staff=staff)
    offer = offers(day, a_plan(day), some)[0]
    assert (offer.parts[0].unit, offer.therapist) == ("U2", "T2")
