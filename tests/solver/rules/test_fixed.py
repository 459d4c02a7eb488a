"""The rule ``fixed``."""

import pytest

from solver.schedule import PlacedVisit
from solver.verify import verify
from solver.visits import Fixed
from tests.builders import (
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
)
from tests.solver.rules.boundary import BoundaryCase, assert_boundary

VISIT = a_visit(a_part(hands_on(10), channels={"pads": 2}, applicators={"heads": 1}))
RIGHT = placed(VISIT, "09:30")


def case(name: str, what: Fixed, kept: PlacedVisit, broken: PlacedVisit | None) -> BoundaryCase:
    """A visit on 2 of 3 pads channels with 1 of 2 heads, where much is possible and some is fixed."""
    visit = a_visit(*VISIT.parts, fixed=what)
    channels = [a_channel("s1"), a_channel("s2"), a_channel("s3")]
    day = a_day(
        visit,
        units=[
            a_unit("U1", places=["front", "back"], channels=channels),
            a_unit("U2", places=["front", "back"], channels=channels),
        ],
        places=[a_place(), a_place("back", ["F1b"])],
        applicators=[an_applicator("heads", 2)],
        staff=[a_therapist("T1"), a_therapist("T2")],
    )
    return BoundaryCase("fixed", name, day, a_plan(day, kept), a_plan(day, broken) if broken else a_plan(day))


def second_part() -> BoundaryCase:
    visit = a_visit(a_part(), a_part(), fixed=fixed(fixed_part(), fixed_part("09:30")))
    day = a_day(visit)
    kept, broken = (a_plan(day, placed(visit, "09:00", start)) for start in ("09:30", "09:29"))
    return BoundaryCase("fixed", "a part after a free one", day, kept, broken)


CASES = [
    case("the start", fixed(fixed_part("09:30")), RIGHT, placed(VISIT, "09:31")),
    case("the unit", fixed(fixed_part(unit="U1")), RIGHT, placed(VISIT, "09:30", unit="U2")),
    case("the place", fixed(fixed_part(place="front")), RIGHT, placed(VISIT, "09:30", place="back", bay="F1b")),
    case("the bay", fixed(fixed_part(bay="F1")), RIGHT, placed(VISIT, "09:30", bay="F2")),
    case(
        "the channels",
        fixed(fixed_part(channels={"pads": ["s2", "s1"]})),
        RIGHT,
        placed(VISIT, "09:30", channels={"pads": ["s2", "s3"]}),
    ),
    case(
        "the items",
        fixed(fixed_part(items={"heads": ["heads-1"]})),
        RIGHT,
        placed(VISIT, "09:30", items={"heads": ["heads-2"]}),
    ),
    second_part(),
    case("the therapist", fixed(therapist="T1"), RIGHT, placed(VISIT, "09:30", hands="T2")),
    case("placed, whatever else", fixed(), RIGHT, None),
]


@pytest.mark.parametrize("case", CASES, ids=str)
def test_boundary(case: BoundaryCase) -> None:
    assert_boundary(case)


def test_parts_that_are_not_listed_are_free() -> None:
    visit = a_visit(a_part(), a_part(), fixed=fixed(fixed_part("09:00")))
    day = a_day(visit)
    assert verify(day, a_plan(day, placed(visit, "09:00", "11:00"))) == []


def test_a_therapist_fixed_as_none_is_kept_where_none_is_needed() -> None:
    visit = a_visit(a_part(hands_on(5, "anyone")), fixed=Fixed(therapist_given=True))
    day = a_day(visit)
    assert verify(day, a_plan(day, placed(visit, "09:00"))) == []
