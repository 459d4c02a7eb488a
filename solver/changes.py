"""What differs between two plans of a day, to tell of a plan to whoever has the other one."""

from collections.abc import Mapping
from typing import NamedTuple

from solver.compose import breaks_by_number
from solver.schedule import PlacedBreak, PlacedVisit, Plan


class Snapshot(NamedTuple):
    """Where everything is; breaks by whose they are and which of theirs."""

    visits: Mapping[str, PlacedVisit]
    breaks: Mapping[tuple[str, int], PlacedBreak]


class Change(NamedTuple):
    """Where visits and breaks are that were elsewhere before, and the visits that are left out by now."""

    visits: Mapping[str, PlacedVisit]
    breaks: Mapping[tuple[str, int], PlacedBreak]
    gone: frozenset[str] = frozenset()


def snapshot_of(plan: Plan) -> Snapshot:
    """Where the plan has everything."""
    return Snapshot({placed.id: placed for placed in plan.visits}, breaks_by_number(plan.breaks))


def change(before: Snapshot, after: Snapshot) -> Change:
    """What is to be told to whoever has ``before``; what is the same object in both is the same."""
    return Change(
        {id: placed for id, placed in after.visits.items() if before.visits.get(id) is not placed},
        {key: taken for key, taken in after.breaks.items() if before.breaks.get(key) is not taken},
        frozenset(id for id in before.visits if id not in after.visits),
    )


def changed(before: Snapshot, by: Change) -> Snapshot:
    """What is reached from ``before`` by the change. Breaks are never taken away."""
    visits = {id: placed for id, placed in before.visits.items() if id not in by.gone}
    return Snapshot({**visits, **by.visits}, {**before.breaks, **by.breaks})
