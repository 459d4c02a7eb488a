"""What differs between two plans, and a plan from another one and what differs."""

from hypothesis import given
from hypothesis import strategies as st

from solver.changes import Snapshot, change, changed
from solver.schedule import PlacedBreak, PlacedVisit

VISITS = {(id, n): PlacedVisit(id=id, therapist=f"T{n}", parts=()) for id in "abcd" for n in (1, 2)}
BREAKS = {n: PlacedBreak(staff="T1", start=n, end=n + 30) for n in (600, 630)}


@st.composite
def snapshots(draw: st.DrawFn) -> Snapshot:
    placed = draw(st.dictionaries(st.sampled_from("abcd"), st.sampled_from((1, 2))))
    return Snapshot(
        {id: VISITS[id, n] for id, n in placed.items()}, {("T1", 0): BREAKS[draw(st.sampled_from((600, 630)))]}
    )


@given(snapshots(), snapshots())
def test_a_plan_and_what_differs_make_the_other_plan(before: Snapshot, after: Snapshot) -> None:
    found = change(before, after)
    assert changed(before, found) == after
    assert all(before.visits.get(id) != placed for id, placed in found.visits.items())
    assert not any(found) or before != after
