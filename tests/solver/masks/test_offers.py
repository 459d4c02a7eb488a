"""The starts at which a visit fits into a plan, against trying everything with the verifier."""

from dataclasses import replace

from hypothesis import event, given, settings
from hypothesis import strategies as st

from solver.construct import construct
from solver.masks.bits import minutes_of
from solver.masks.choice import Choice
from solver.masks.ledger import Ledger
from solver.masks.starts import Starts
from solver.problem import Day
from solver.schedule import PlacedVisit, Plan
from solver.verify import verify
from solver.visits import Visit
from tests.builders import a_plan
from tests.solver.every_choice import part_placings, visit_placings
from tests.solver.small_days import FEATURES, small_days


def starts_by_masks(ledger: Ledger, visit: Visit) -> set[int]:
    starts, choice = Starts(ledger, visit), Choice(ledger, visit)
    return {
        start
        for spaced in map(starts.shape.spaced, starts.shape.spacings())
        for member, sites, mask in starts.candidates(spaced)
        for start in minutes_of(mask)
        if choice.complete(start, spaced, member, sites) is not None
    }


def starts_by_trying(plan: Plan, day: Day, visit: Visit) -> set[int]:
    placings = [list(part_placings(day, part)) for part in visit.parts]
    found: set[int] = set()
    for placed in visit_placings(visit, placings):
        if placed.parts[0].start not in found and fits(plan, day, placed):
            found.add(placed.parts[0].start)
    return found


def fits(plan: Plan, day: Day, placed: PlacedVisit) -> bool:
    left = tuple(left for left in plan.left_out if left.id != placed.id)
    whole = replace(plan, visits=(*plan.visits, placed), left_out=left)
    return {breach.rule for breach in verify(day, whole)} <= {"scores"}


@settings(max_examples=110, deadline=None, derandomize=True)
@given(st.sampled_from(FEATURES).flatmap(small_days))
def test_masks_find_every_start_that_the_verifier_allows_and_no_other(day: Day) -> None:
    ledger = construct(day)
    if ledger is None or not ledger.visits:
        return
    visit = day.visit_by_id[sorted(ledger.visits)[-1]]
    ledger.remove(visit.id)
    breaks = [taken for _, taken in sorted(ledger.breaks.items())]
    plan = a_plan(day, *ledger.visits.values(), breaks=breaks)
    starts = starts_by_trying(plan, day, visit)
    event(f"{min(len(starts), 3)} starts or more")
    assert starts_by_masks(ledger, visit) == starts
