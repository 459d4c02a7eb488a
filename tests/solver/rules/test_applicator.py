"""The rule ``applicator``."""

import pytest

from solver.verify import verify
from tests.builders import a_day, a_part, a_plan, a_visit, an_applicator, placed, placed_part, unattended
from tests.solver.rules.boundary import BoundaryCase, assert_boundary

POOL = "pad-sets"
ITEM, OTHER = {POOL: ["pad-sets-1"]}, {POOL: ["pad-sets-2"]}
SOUND = a_part(unattended(10), channels={"ultrasound": 1})
SOUND_WITH = a_part(unattended(10), channels={"ultrasound": 1}, applicators={POOL: 1})
PADS = a_part(unattended(10), applicators={POOL: 1})


def named(name: str, needs: int, kept: dict[str, list[str]], broken: dict[str, list[str]]) -> BoundaryCase:
    visit = a_visit(a_part(applicators={POOL: needs}))
    day = a_day(visit, applicators=[an_applicator(POOL, 3), an_applicator("heads", 1)])
    plans = [a_plan(day, placed(visit, "09:00", items=items)) for items in (kept, broken)]
    return BoundaryCase("applicator", name, day, plans[0], plans[1])


def next_stay(name: str, turnaround: int, kept: str, broken: str) -> BoundaryCase:
    """A stay that holds an item from 09:30 to 09:40, and another stay that holds it."""
    one, other = a_visit(SOUND_WITH, id="V1"), a_visit(PADS, id="V2")
    day = a_day(one, other, applicators=[an_applicator(POOL, 1, turnaround_min=turnaround)])
    plans = [a_plan(day, placed(one, "09:30"), placed(other, start, bay="F2")) for start in (kept, broken)]
    return BoundaryCase("applicator", name, day, plans[0], plans[1])


def released_before_the_stay_ends() -> BoundaryCase:
    one, other = a_visit(SOUND_WITH, SOUND, id="V1"), a_visit(PADS, id="V2")
    day = a_day(one, other, applicators=[an_applicator(POOL, 1, turnaround_min=5)])
    first, second = one.parts
    kept, broken = (
        a_plan(
            day, placed(one, placed_part(first, "09:00"), placed_part(second, "09:10")), placed(other, start, bay="F2")
        )
        for start in ("09:15", "09:14")
    )
    return BoundaryCase("applicator", "an item is held to the end of the last part that names it", day, kept, broken)


def held_between_two_parts() -> BoundaryCase:
    one, other = a_visit(SOUND_WITH, SOUND, SOUND_WITH, id="V1"), a_visit(PADS, id="V2")
    day = a_day(one, other)
    first, second, third = one.parts
    kept, broken = (
        a_plan(
            day,
            placed(
                one,
                placed_part(first, "09:00", items=ITEM),
                placed_part(second, "09:10"),
                placed_part(third, "09:20", items=items),
            ),
            placed(other, "09:10", bay="F2", items=ITEM),
        )
        for items in (OTHER, ITEM)
    )
    return BoundaryCase("applicator", "an item is held between two parts that name it", day, kept, broken)


def between_stays_of_one_visit() -> BoundaryCase:
    visit = a_visit(SOUND_WITH, PADS, same_unit=False)
    day = a_day(visit, applicators=[an_applicator(POOL, 1, turnaround_min=10)])
    kept, broken = (a_plan(day, placed(visit, "09:00", start)) for start in ("09:20", "09:19"))
    return BoundaryCase("applicator", "a turnaround between two stays of one visit", day, kept, broken)


CASES = [
    named("enough items", 2, {POOL: ["pad-sets-3", "pad-sets-1"]}, {POOL: ["pad-sets-1"]}),
    named("not too many items", 1, {POOL: ["pad-sets-1"]}, {POOL: ["pad-sets-1", "pad-sets-2"]}),
    named("different items", 2, {POOL: ["pad-sets-1", "pad-sets-2"]}, {POOL: ["pad-sets-1", "pad-sets-1"]}),
    named("items of the applicator", 1, {POOL: ["pad-sets-1"]}, {POOL: ["heads-1"]}),
    named("no applicator besides", 1, ITEM, {**ITEM, "heads": ["heads-1"]}),
    named("an applicator without items", 1, ITEM, {}),
    next_stay("a turnaround after a hold", 10, "09:50", "09:49"),
    next_stay("a turnaround before a hold", 10, "09:10", "09:11"),
    next_stay("one stay at a time", 0, "09:40", "09:39"),
    released_before_the_stay_ends(),
    held_between_two_parts(),
    between_stays_of_one_visit(),
]


@pytest.mark.parametrize("case", CASES, ids=str)
def test_boundary(case: BoundaryCase) -> None:
    assert_boundary(case)


def test_within_a_stay_an_item_needs_no_turnaround() -> None:
    visit = a_visit(SOUND_WITH, PADS)
    day = a_day(visit, applicators=[an_applicator(POOL, 1, turnaround_min=10)])
    assert verify(day, a_plan(day, placed(visit, "09:00"))) == []
