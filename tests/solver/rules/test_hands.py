"""The rule ``hands``."""

from collections.abc import Sequence

import pytest

from solver.clinic import StaffMember
from solver.verify import verify
from solver.visits import Part
from tests.builders import (
    a_break,
    a_break_taken,
    a_day,
    a_part,
    a_plan,
    a_therapist,
    a_visit,
    an_assistant,
    hands_on,
    placed,
    set_up,
    tidy_up,
    unattended,
)
from tests.solver.rules.boundary import BoundaryCase, assert_boundary

TEN = a_part(hands_on(10))


def at_time(name: str, member: StaffMember, kept: str, broken: str, part: Part = TEN) -> BoundaryCase:
    """A visit in the hands of the one member; a break of theirs is taken at 10:00."""
    visit = a_visit(part)
    day = a_day(visit, staff=[member])
    breaks = [a_break_taken(member.id, "10:00") for _ in member.breaks]
    plans = [a_plan(day, placed(visit, start, hands=member.id), breaks=breaks) for start in (kept, broken)]
    return BoundaryCase("hands", name, day, plans[0], plans[1])


def in_hands(
    name: str,
    part: Part,
    kept: Sequence[str | None],
    broken: Sequence[str | None],
    therapist: tuple[str | None, str | None] = ("T1", "T1"),
) -> BoundaryCase:
    """A visit with the therapist and the hands of each phase as given; T2 has the skill ``suction``, T1 has none."""
    visit = a_visit(part)
    day = a_day(visit, staff=[a_therapist("T1"), a_therapist("T2", skills=["suction"]), an_assistant("A1")])
    plans = [
        a_plan(day, placed(visit, "09:00", hands=hands, therapist=who))
        for hands, who in zip((kept, broken), therapist, strict=True)
    ]
    return BoundaryCase("hands", name, day, plans[0], plans[1])


def one_phase_at_a_time() -> BoundaryCase:
    one, other = a_visit(a_part(set_up(3), tidy_up(7)), id="V1"), a_visit(TEN, id="V2")
    day = a_day(one, other)
    kept, broken = (
        a_plan(day, placed(one, "09:00"), placed(other, start, bay="F2", channels={"pads": ["s2"]}))
        for start in ("09:10", "09:09")
    )
    return BoundaryCase("hands", "one phase at a time", day, kept, broken)


def one_therapist() -> BoundaryCase:
    visit = a_visit(TEN, TEN)
    day = a_day(visit, staff=[a_therapist("T1"), a_therapist("T2")])
    first, second = placed(visit, "09:00", hands="T1").parts, placed(visit, "09:00", hands="T2").parts
    return BoundaryCase(
        "hands",
        "one therapist for the whole visit",
        day,
        a_plan(day, placed(visit, *first, therapist="T1")),
        a_plan(day, placed(visit, first[0], second[1], therapist="T1")),
    )


MIXED = a_part(set_up(5), unattended(10), tidy_up(5))
CASES = [
    at_time("from the member's first minute", a_therapist(hours="09:30-11:00"), "09:30", "09:29"),
    at_time("until the member's last minute", a_therapist(hours="09:30-11:00"), "10:50", "10:51"),
    at_time("hours that touch are not joined", a_therapist(hours=["09:00-10:00", "10:00-11:00"]), "09:50", "09:51"),
    at_time(
        "each phase in hours of its own",
        a_therapist(hours=["09:00-10:00", "10:00-11:00"]),
        "09:55",
        "09:56",
        a_part(set_up(5), hands_on(5)),
    ),
    at_time("until a break", a_therapist(breaks=[a_break(15)]), "09:50", "09:51"),
    at_time("from the end of a break", a_therapist(breaks=[a_break(15)]), "10:15", "10:14"),
    at_time(
        "an assistant's hours", an_assistant(hours="09:30-11:00"), "10:50", "10:51", a_part(hands_on(10, "anyone"))
    ),
    in_hands("somebody where a therapist is needed", MIXED, ["T1", None, "A1"], [None, None, "A1"]),
    in_hands("somebody where anyone will do", MIXED, ["T1", None, "A1"], ["T1", None, None]),
    in_hands("nobody where nobody is needed", MIXED, ["T1", None, "A1"], ["T1", "A1", "A1"]),
    in_hands("the visit's therapist", MIXED, ["T1", None, "T2"], ["T2", None, "T2"]),
    in_hands("a therapist phase by the assistant", MIXED, ["T1", None, "A1"], ["A1", None, "A1"]),
    in_hands("of kind therapist", MIXED, ["T1", None, "A1"], ["A1", None, "A1"], ("T1", "A1")),
    in_hands("a therapist of the visit", MIXED, ["T1", None, "A1"], ["T1", None, "A1"], ("T1", None)),
    in_hands("the part's skill", a_part(set_up(5), skill="suction"), ["T2"], ["T1"], ("T2", "T1")),
    one_phase_at_a_time(),
    one_therapist(),
]


@pytest.mark.parametrize("case", CASES, ids=str)
def test_boundary(case: BoundaryCase) -> None:
    assert_boundary(case)


def test_a_skill_is_not_read_on_a_part_without_a_therapist_phase() -> None:
    visit = a_visit(a_part(set_up(5)), a_part(tidy_up(5), skill="suction"))
    day = a_day(visit, staff=[a_therapist(), an_assistant()])
    assert verify(day, a_plan(day, placed(visit, "09:00"))) == []


def test_a_visit_without_a_therapist_phase_needs_no_therapist() -> None:
    visit = a_visit(a_part(tidy_up(5)))
    day = a_day(visit, staff=[an_assistant()])
    assert verify(day, a_plan(day, placed(visit, "09:00", hands="A1"))) == []
