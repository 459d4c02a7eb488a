"""The rule ``unit``."""

import pytest

from solver.clinic import Applicator
from solver.problem import Day
from solver.schedule import PlacedVisit
from solver.verify import verify
from solver.visits import Visit
from tests.builders import a_day, a_part, a_place, a_plan, a_unit, a_visit, an_applicator, placed, placed_part
from tests.solver.rules.boundary import BoundaryCase, assert_boundary

TWO_PARTS = a_visit(a_part(), a_part())


def two_places(visit: Visit, applicators: list[Applicator] | None = None) -> Day:
    """U1 and U2 may stand at front (step-free; F1, F2) and at side (S1); only U2 may stand at back (B1)."""
    return a_day(
        visit,
        units=[a_unit("U1", places=["front", "side"]), a_unit("U2", places=["front", "side", "back"])],
        places=[a_place(tags=["step-free"]), a_place("side", ["S1"]), a_place("back", ["B1"])],
        applicators=applicators,
    )


def case(name: str, day: Day, kept: PlacedVisit, broken: PlacedVisit) -> BoundaryCase:
    return BoundaryCase("unit", name, day, a_plan(day, kept), a_plan(day, broken))


def allowed_units() -> BoundaryCase:
    visit = a_visit(a_part(units=["U1"]))
    return case(
        "a unit that the part allows", two_places(visit), placed(visit, "09:00"), placed(visit, "09:00", unit="U2")
    )


def fitting_applicators() -> BoundaryCase:
    visit = a_visit(a_part(applicators={"heads": 1}))
    day = two_places(visit, [an_applicator("heads", fits=["U1"])])
    return case("a unit that the applicator fits", day, placed(visit, "09:00"), placed(visit, "09:00", unit="U2"))


def places_of_the_unit() -> BoundaryCase:
    visit = a_visit()
    kept, broken = (placed(visit, "09:00", unit=unit, place="back", bay="B1") for unit in ("U2", "U1"))
    return case("a place that the unit may stand at", two_places(visit), kept, broken)


def tags_of_the_place() -> BoundaryCase:
    visit = a_visit(place_tags=["step-free"])
    kept, broken = placed(visit, "09:00"), placed(visit, "09:00", place="side", bay="S1")
    return case("a place with the visit's tags", two_places(visit), kept, broken)


def bay_of_the_place() -> BoundaryCase:
    visit = a_visit()
    kept, broken = (placed(visit, "09:00", place="front", bay=bay) for bay in ("F2", "S1"))
    return case("a bay in the place", two_places(visit), kept, broken)


def one_stay(what: str, unit: str = "U1", place: str = "front", bay: str = "F1") -> BoundaryCase:
    first, second = TWO_PARTS.parts
    moved = placed_part(second, "09:10", unit=unit, place=place, bay=bay)
    kept, broken = placed(TWO_PARTS, "09:00"), placed(TWO_PARTS, placed_part(first, "09:00"), moved)
    return case(f"one {what} for all parts", two_places(TWO_PARTS), kept, broken)


CASES = [
    allowed_units(),
    fitting_applicators(),
    places_of_the_unit(),
    tags_of_the_place(),
    bay_of_the_place(),
    one_stay("unit", unit="U2"),
    one_stay("place", place="side", bay="S1"),
    one_stay("bay", bay="F2"),
]


@pytest.mark.parametrize("case", CASES, ids=str)
def test_boundary(case: BoundaryCase) -> None:
    assert_boundary(case)


def test_parts_may_roam_where_the_visit_says_so() -> None:
    visit = a_visit(a_part(), a_part(), same_unit=False)
    first, second = visit.parts
    day = two_places(visit)
    elsewhere = placed_part(second, "09:10", unit="U2", place="side", bay="S1")
    assert verify(day, a_plan(day, placed(visit, placed_part(first, "09:00"), elsewhere))) == []
