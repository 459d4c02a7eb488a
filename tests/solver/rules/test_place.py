"""The rule ``place``."""

import pytest

from solver.problem import Day
from solver.verify import verify
from solver.visits import Visit
from tests.builders import a_day, a_part, a_place, a_plan, a_unit, a_visit, placed, placed_part, unattended
from tests.solver.rules.boundary import BoundaryCase, assert_boundary

SOUND = a_part(unattended(10), channels={"ultrasound": 1})
PADS = a_part(unattended(10))


def two_places(*visits: Visit, move_min: int) -> Day:
    return a_day(
        *visits,
        move_min=move_min,
        units=[a_unit(places=["front", "back"]), a_unit("U2", places=["front", "back"])],
        places=[a_place(), a_place("back", ["B1"])],
    )


def move(name: str, move_min: int, kept: str, broken: str) -> BoundaryCase:
    one, other = a_visit(SOUND, id="V1"), a_visit(PADS, id="V2")
    day = two_places(one, other, move_min=move_min)
    plans = [
        a_plan(day, placed(one, "09:30"), placed(other, start, place="back", bay="B1")) for start in (kept, broken)
    ]
    return BoundaryCase("place", name, day, plans[0], plans[1])


def move_within_a_visit() -> BoundaryCase:
    visit = a_visit(SOUND, PADS, same_unit=False)
    day = two_places(visit, move_min=5)
    first, second = visit.parts
    kept, broken = (
        a_plan(day, placed(visit, placed_part(first, "09:00"), placed_part(second, start, place="back", bay="B1")))
        for start in ("09:15", "09:14")
    )
    return BoundaryCase("place", "a move between two stays of one visit", day, kept, broken)


def move_after_the_last_to_end() -> BoundaryCase:
    long, short, after = a_visit(a_part(unattended(30)), id="V1"), a_visit(SOUND, id="V2"), a_visit(PADS, id="V3")
    day = two_places(long, short, after, move_min=5)
    kept, broken = (
        a_plan(
            day,
            placed(long, "09:00"),
            placed(short, "09:05", bay="F2"),
            placed(after, start, place="back", bay="B1", channels={"pads": ["s2"]}),
        )
        for start in ("09:35", "09:34")
    )
    return BoundaryCase("place", "a move after the stay that ends last", day, kept, broken)


CASES = [
    move("a move after a stay", 5, "09:45", "09:44"),
    move("a move before a stay", 5, "09:15", "09:16"),
    move("no overlap where moving takes no time", 0, "09:40", "09:39"),
    move_within_a_visit(),
    move_after_the_last_to_end(),
]


@pytest.mark.parametrize("case", CASES, ids=str)
def test_boundary(case: BoundaryCase) -> None:
    assert_boundary(case)


def test_another_unit_has_nothing_to_move() -> None:
    one, other = a_visit(SOUND, id="V1"), a_visit(PADS, id="V2")
    day = two_places(one, other, move_min=5)
    plan = a_plan(day, placed(one, "09:00"), placed(other, "09:00", unit="U2", place="back", bay="B1"))
    assert verify(day, plan) == []
