"""Visits that roam between units on batteries: their starts, against completing each start in every way."""

from hypothesis import event, given, settings
from hypothesis import strategies as st

from solver.clinic import Battery
from solver.construct import construct
from solver.masks.bits import minutes_of
from solver.offering.loaded import LoadedPlan
from solver.visits import Part, Visit
from tests.builders import (
    a_battery,
    a_day,
    a_part,
    a_place,
    a_plan,
    a_therapist,
    a_unit,
    a_visit,
    hands_on,
    still,
    unattended,
)

batteries = st.one_of(
    st.none(),
    st.builds(
        a_battery,
        capacity_wh=st.integers(4, 10),
        reserve_pct=st.integers(0, 50),
        standby_w=st.integers(0, 4),
        charge_w=st.integers(0, 40),
        min_charge_min=st.integers(1, 15),
    ),
)
places = st.sampled_from((("front",), ("back",), ("front", "back")))


@st.composite
def parts(draw: st.DrawFn) -> Part:
    """Of ten or twenty minutes, in a therapist's hands or not, on a unit that it may have to be."""
    minutes = draw(st.sampled_from((10, 20)))
    phase = draw(st.sampled_from((still, unattended, unattended, hands_on)))(minutes)
    wait, units = draw(st.sampled_from((None, 0, 20, 40))), draw(st.sampled_from((None, None, ["U1"], ["U2"])))
    return a_part(phase, channels={"pads": 1}, units=units, max_wait_min=wait)


@st.composite
def others(draw: st.DrawFn) -> list[Visit]:
    return [
        a_visit(draw(parts()), id=f"V{n}", wish=540 + 10 * draw(st.integers(0, 10)))
        for n in range(draw(st.integers(0, 5)))
    ]


@settings(max_examples=250, deadline=None, derandomize=True)
@given(
    st.tuples(batteries, batteries),
    st.tuples(places, places),
    others(),
    st.lists(parts(), min_size=2, max_size=3),
    st.booleans(),
)
def test_a_roaming_visit_starts_where_it_can_be_completed(
    of_units: tuple[Battery | None, Battery | None],
    at: tuple[tuple[str, ...], tuple[str, ...]],
    there: list[Visit],
    roaming: list[Part],
    moves: bool,
) -> None:
    day = a_day(
        *there,
        step_min=10,
        close="10:50",
        move_min=10 if moves else 0,
        units=[a_unit(f"U{n}", places=at[n - 1], battery=of_units[n - 1]) for n in (1, 2)],
        places=[a_place(bays=["F1", "F2", "F3"]), a_place("back", ["B1", "B2", "B3"])],
        staff=[a_therapist("T1"), a_therapist("T2", hours="09:30-10:30")],
    )
    ledger = construct(day)
    assert ledger is not None, "nothing is fixed, and nobody has a break"
    asked = a_visit(*roaming, id="new", patient="new", same_unit=False)
    with LoadedPlan(day, a_plan(day, *ledger.visits.values())).without(asked) as openings:
        possible = list(minutes_of(openings.possible()))
        completed = [start for start in range(540, 650, 10) if openings.best(start) is not None]
    event(f"{len(possible)} starts")
    assert possible == completed
