"""A ledger forgets whatever is taken out of it."""

from hypothesis import given, settings
from hypothesis import strategies as st

from solver.construct import construct
from solver.masks.ledger import Ledger
from solver.problem import Day
from tests.solver.small_days import FEATURES, small_days


def everything(ledger: Ledger) -> object:
    held = (ledger.channels, ledger.elsewhere, ledger.bays, ledger.suction, ledger.items, ledger.staff, ledger.patient)
    return (
        [{key: occupancy.free for key, occupancy in table.items()} for table in held],
        {unit: [room.at_least(n) for n in range(5)] for unit, room in ledger.patients.items()},
        [ledger.watch.at_least(n) for n in range(12)],
        {
            unit: {key: loads for key, loads in by_visit.items() if loads}
            for unit, by_visit in ledger.batteries.loads.items()
        },
    )


@settings(max_examples=60, deadline=None, derandomize=True)
@given(st.sampled_from(FEATURES).flatmap(small_days))
def test_taking_everything_out_leaves_an_empty_day(day: Day) -> None:
    ledger = construct(day)
    if ledger is None:
        return
    for id in sorted(ledger.visits):
        ledger.remove(id)
    for staff, index in sorted(ledger.breaks):
        ledger.remove_break(staff, index)
    assert everything(ledger) == everything(Ledger(day))
    assert ledger.visits == {}
    assert ledger.breaks == {}
