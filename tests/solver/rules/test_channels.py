"""The rule ``channels``."""

import pytest

from tests.builders import a_channel, a_day, a_part, a_plan, a_unit, a_visit, placed, unattended
from tests.solver.rules.boundary import BoundaryCase, assert_boundary


def named(name: str, needs: dict[str, int], kept: dict[str, list[str]], broken: dict[str, list[str]]) -> BoundaryCase:
    """One part on U1 (u1 drives ultrasound; s1 and s2 pads and cups); U2 has a channel x1 for pads besides."""
    visit = a_visit(a_part(channels=needs))
    day = a_day(visit, units=[a_unit(), a_unit("U2", channels=[a_channel("x1")])])
    plans = [a_plan(day, placed(visit, "09:00", channels=channels)) for channels in (kept, broken)]
    return BoundaryCase("channels", name, day, plans[0], plans[1])


def one_part_at_a_time() -> BoundaryCase:
    one, other = a_visit(a_part(unattended(10)), id="V1"), a_visit(a_part(unattended(10)), id="V2")
    day = a_day(one, other)
    kept, broken = (a_plan(day, placed(one, "09:00"), placed(other, start, bay="F2")) for start in ("09:10", "09:09"))
    return BoundaryCase("channels", "one part on a channel at a time", day, kept, broken)


CASES = [
    named("enough channels", {"pads": 2}, {"pads": ["s1", "s2"]}, {"pads": ["s1"]}),
    named("an output without channels", {"pads": 1, "cups": 1}, {"pads": ["s1"], "cups": ["s2"]}, {"pads": ["s1"]}),
    named("not too many channels", {"pads": 1}, {"pads": ["s1"]}, {"pads": ["s1", "s2"]}),
    named("different channels", {"pads": 2}, {"pads": ["s2", "s1"]}, {"pads": ["s1", "s1"]}),
    named(
        "one output on a channel",
        {"pads": 1, "cups": 1},
        {"pads": ["s1"], "cups": ["s2"]},
        {"pads": ["s1"], "cups": ["s1"]},
    ),
    named("a channel that can drive the output", {"pads": 1}, {"pads": ["s1"]}, {"pads": ["u1"]}),
    named("a channel of the unit", {"pads": 1}, {"pads": ["s1"]}, {"pads": ["x1"]}),
    named("no output besides", {"pads": 1}, {"pads": ["s1"]}, {"pads": ["s1"], "cups": ["s2"]}),
    one_part_at_a_time(),
]


@pytest.mark.parametrize("case", CASES, ids=str)
def test_boundary(case: BoundaryCase) -> None:
    assert_boundary(case)
