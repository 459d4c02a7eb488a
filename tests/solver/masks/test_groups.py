"""Who may have a visit and where, in groups: looked at only where a start is tried."""

from dataclasses import replace
from random import Random

from solver.masks.groups import groups_of
from solver.masks.ledger import Ledger
from solver.masks.offers import best_offer
from solver.masks.starts import Starts
from solver.problem import Day
from tests.builders import a_day, a_part, a_place, a_therapist, a_unit, a_visit, at, hands_on


def a_day_of_three_units() -> Day:
    part = a_part(hands_on(30))
    return a_day(
        a_visit(part, id="V1", wish="10:00"),
        a_visit(part, id="V2", wish="10:00"),
        staff=[a_therapist("T1"), a_therapist("T2")],
        units=[a_unit(f"U{n}") for n in (1, 2, 3)],
        places=[a_place("front", bays=["F1", "F2", "F3"])],
    )


def with_the_first(day: Day) -> Ledger:
    ledger = Ledger(day)
    placed = best_offer(ledger, day.visits[0])
    assert placed is not None
    ledger.add(placed)
    return ledger


def test_at_a_start_those_go_together_who_have_it_in_any_order() -> None:
    day = a_day_of_three_units()
    starts = Starts(with_the_first(day), day.visits[1])
    spaced = starts.shape.spaced((0,))
    wanted = {(m.id if m else None, sites) for m, sites, mask in starts.candidates(spaced) if mask >> at("10:00") & 1}
    for random in (None, Random(1), Random(2)):
        (group,) = groups_of(starts, spaced)
        found = [(member.id if member else None, sites) for member, sites in group.at(at("10:00"), random)]
        assert len(found) == len(wanted) >= 1
        assert all(pair in found for pair in ((id, sites) for id, sites in wanted))


def test_a_start_without_a_site_leaves_only_those_that_have_one() -> None:
    day = a_day_of_three_units()
    ledger = with_the_first(day)
    for unit in ledger.day.units:
        ledger.elsewhere[unit.id, "front"].add("for the test", 1 << at("10:10"))
    starts = Starts(ledger, day.visits[1])
    spaced = starts.shape.spaced((0,))
    (group,) = groups_of(starts, spaced)
    assert group.starts >> at("10:00") & 1
    assert list(group.at(at("10:00"), None)) == []
    ways = starts.ways(spaced)
    assert ways is not None
    sited = 0
    for _, mask in ways.sites:
        sited |= mask
    assert group.starts & ~sited == 0
    assert group.starts


def test_the_unit_that_was_told_comes_first() -> None:
    day = a_day_of_three_units()
    ledger = Ledger(day)
    placed = best_offer(ledger, day.visits[0])
    assert placed is not None
    told = replace(placed, parts=(replace(placed.parts[0], unit="U2"),))
    day = replace(day, published=(told,), aims=("placed", "wish"))
    starts = Starts(Ledger(day), day.visits[0])
    first, *_ = groups_of(starts, starts.shape.spaced((0,)))
    assert [where.sites[0].unit.id for where in first.sites if where.sites] == ["U2"]
