"""Whatever is changed in a right plan, the verifier answers with breaches and never with a crash."""

from collections.abc import Callable
from dataclasses import replace
from random import Random

from hypothesis import given, settings
from hypothesis import strategies as st

from solver.names import RULES
from solver.schedule import PlacedBreak, PlacedPart, PlacedVisit, Plan
from solver.verify import verify
from tests.builders import (
    a_battery,
    a_break,
    a_break_taken,
    a_day,
    a_part,
    a_place,
    a_plan,
    a_therapist,
    a_unit,
    a_visit,
    an_applicator,
    an_assistant,
    fixed,
    fixed_part,
    left_out,
    placed,
    placed_part,
    set_up,
    tidy_up,
    unattended,
)

TREATED = a_part(set_up(5), unattended(10), tidy_up(5), applicators={"heads": 1}, suction_kpa=20)
STILL_TREATED = a_part(set_up(5), unattended(10), skill="suction")
VISITS = [
    a_visit(TREATED, STILL_TREATED, id="V1", patient="P-secret", fixed=fixed(fixed_part("09:00"))),
    a_visit(TREATED, STILL_TREATED, id="V2", patient="P-secret", same_unit=False, therapist_must="T2"),
    a_visit(a_part(unattended(20)), id="V3", wish="09:30", free="09:00-10:30"),
]
DAY = a_day(
    *VISITS,
    move_min=5,
    bay_turnover_min=5,
    units=[a_unit(battery=a_battery(charge_w=20)), a_unit("U2", places=["front", "back"], hours="09:00-11:30")],
    places=[a_place(), a_place("back", ["B1"])],
    applicators=[an_applicator("heads", 2, turnaround_min=10)],
    staff=[
        a_therapist("T1", breaks=[a_break()], skills=["suction"]),
        a_therapist("T2", skills=["suction"]),
        an_assistant(),
    ],
)
FIRST, SECOND = VISITS[1].parts
RIGHT = a_plan(
    DAY,
    placed(VISITS[0], placed_part(VISITS[0].parts[0], "09:00"), placed_part(VISITS[0].parts[1], "09:20")),
    placed(
        VISITS[1],
        placed_part(FIRST, "10:00", unit="U2", hands="T2"),
        placed_part(SECOND, "10:30", unit="U2", place="back", bay="B1", hands="T2"),
    ),
    placed(VISITS[2], "09:30", bay="F2", channels={"pads": ["s2"]}),
    breaks=[a_break_taken("T1", "10:10")],
)
IDS = ["U1", "U2", "front", "back", "F1", "F2", "B1", "s1", "s2", "u1", "heads-1", "heads-2", "T1", "T2", "A1", "none"]
KEYS = ["pads", "ultrasound", "heads", "none"]


def _mutated_part(rng: Random, part: PlacedPart) -> PlacedPart:
    id = rng.choice(IDS)
    return rng.choice(
        [
            replace(part, start=part.start + rng.choice([-10_000, -600, -30, -1, 1, 5, 30, 600, 10_000])),
            replace(part, unit=id),
            replace(part, place=id),
            replace(part, bay=id),
            replace(part, channels={**part.channels, rng.choice(KEYS): (id,)}),
            replace(part, channels={}),
            replace(part, items={**part.items, rng.choice(KEYS): (id, rng.choice(IDS))}),
            replace(part, items={}),
            replace(part, hands=part.hands[:-1]),
            replace(part, hands=(*part.hands, id)),
            replace(part, hands=tuple(rng.choice([who, None, id]) for who in part.hands)),
            replace(part, id=rng.choice(["p1", "p2", "none"])),
        ]
    )


def _mutated_visit(rng: Random, visit: PlacedVisit) -> PlacedVisit:
    parts = list(visit.parts)
    i = rng.randrange(len(parts)) if parts else None
    if i is not None:
        parts[i] = _mutated_part(rng, parts[i])
    return rng.choice(
        [
            replace(visit, parts=tuple(parts)),
            replace(visit, parts=tuple(parts)),
            replace(visit, parts=visit.parts[:-1]),
            replace(visit, parts=visit.parts[::-1]),
            replace(visit, parts=visit.parts * 2),
            replace(visit, therapist=rng.choice([None, *IDS])),
            replace(visit, id=rng.choice(["V1", "V3", "none"])),
        ]
    )


def _one_visit(rng: Random, plan: Plan) -> Plan:
    visits = list(plan.visits)
    if visits:
        i = rng.randrange(len(visits))
        visits[i] = _mutated_visit(rng, visits[i])
    return replace(plan, visits=tuple(visits))


def _whole(rng: Random, plan: Plan) -> Plan:
    taken = PlacedBreak(staff=rng.choice(IDS), start=rng.randint(-10, 1500), end=rng.randint(-10, 1500))
    return rng.choice(
        [
            replace(plan, visits=plan.visits[1:]),
            replace(plan, visits=plan.visits * 2),
            replace(plan, visits=()),
            replace(plan, left_out=(left_out(rng.choice(["V1", "V2", "none"])),)),
            replace(plan, breaks=(*plan.breaks, taken)),
            replace(plan, breaks=(taken,)),
            replace(plan, breaks=()),
            replace(plan, scores={}),
            replace(plan, bounds={}),
            replace(plan, bounds={**plan.bounds, "wish": -1}),
            replace(plan, status=rng.choice(["optimal", "infeasible"])),
        ]
    )


MUTATIONS: list[Callable[[Random, Plan], Plan]] = [_one_visit, _one_visit, _one_visit, _whole]


def test_the_plan_that_is_mutated_is_right() -> None:
    assert [str(breach) for breach in verify(DAY, RIGHT)] == []


@settings(max_examples=300)
@given(st.randoms(use_true_random=False), st.integers(1, 4))
def test_a_mutated_plan_never_crashes_the_verifier(rng: Random, mutations: int) -> None:
    plan = RIGHT
    for _ in range(mutations):
        plan = rng.choice(MUTATIONS)(rng, plan)
    for breach in verify(DAY, plan):
        assert breach.rule in {*RULES, "shape", "scores", "status"}
        assert breach.text
        assert "\n" not in str(breach)
        assert "P-secret" not in breach.text  # a patient is not named, the visit is


def test_a_start_moved_by_a_minute_is_always_noticed() -> None:
    """V1's start is fixed, V2 moves between places, V3's wish is scored: each minute shows somewhere."""
    for visit in RIGHT.visits:
        for shift in (-1, 1):
            moved = replace(
                visit, parts=(replace(visit.parts[0], start=visit.parts[0].start + shift), *visit.parts[1:])
            )
            plan = replace(RIGHT, visits=tuple(moved if other is visit else other for other in RIGHT.visits))
            assert verify(DAY, plan) != []
