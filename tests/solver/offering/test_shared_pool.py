"""Two parts of one stay that need items of one pool: counted for the starts, chosen one by one for the offers."""

from hypothesis import given, settings
from hypothesis import strategies as st

from solver.masks.bits import minutes_of
from solver.offering.loaded import LoadedPlan
from solver.schedule import PlacedVisit
from solver.visits import Visit
from tests.builders import a_day, a_part, a_place, a_plan, a_unit, a_visit, an_applicator, placed, still

holds = st.tuples(st.integers(1, 3), st.integers(0, 7), st.integers(1, 3))
"""Which item is held, from which step of ten minutes on, for how many of them."""


@settings(max_examples=150, deadline=None, derandomize=True)
@given(st.lists(holds, max_size=6), st.integers(1, 2), st.integers(1, 2), st.sampled_from((0, 10, 20)), st.booleans())
def test_the_starts_are_those_at_which_items_can_be_chosen(
    held: list[tuple[int, int, int]], first: int, second: int, wait: int, turned: bool
) -> None:
    others: list[Visit] = []
    plan: list[PlacedVisit] = []
    taken: set[tuple[int, int]] = set()
    for item, step, steps in held:
        around = 1 if turned else 0
        mine = {(item, step + k) for k in range(-around, steps + around)}
        if mine & taken:
            continue
        taken |= {(item, step + k) for k in range(steps)}
        other = a_visit(a_part(still(10 * steps), channels={}, applicators={"heads": 1}), id=f"V{len(others) + 2}")
        others.append(other)
        plan.append(placed(other, 540 + 10 * step, bay=f"F{len(others) + 1}", items={"heads": [f"heads-{item}"]}))
    asked = a_visit(
        a_part(still(10), channels={}, applicators={"heads": first}),
        a_part(still(10), channels={}, applicators={"heads": second}, max_wait_min=wait),
        id="V1",
    )
    day = a_day(
        asked,
        *others,
        step_min=10,
        close="10:40",
        units=[a_unit(patients_at_once=9)],
        places=[a_place(bays=[f"F{n}" for n in range(1, 9)])],
        applicators=[an_applicator("heads", 3, turnaround_min=10 if turned else 0)],
    )
    with LoadedPlan(day, a_plan(day, *plan)).without(asked) as openings:
        possible = list(minutes_of(openings.possible()))
        assert possible == [start for start in range(540, 640, 10) if openings.best(start) is not None]
