"""What a save changed of a day, for the audit, and in words for whoever comes too late."""

from collections.abc import Iterator, Mapping
from typing import Any

from solver.clock import clock
from solver.schedule import PlacedVisit, Plan

Values = dict[str, Any]
_PLACED, _VISITS = "placed", "visits"


def changes(
    old: Mapping[str, Any] | None, new: Mapping[str, Any], old_plan: Plan | None, new_plan: Plan | None
) -> tuple[Values, Values]:
    """Before and after, of what differs only. ``old`` and ``new``: the day as day files; no patient is named."""
    before: Values = {}
    after: Values = {}
    for key, value in new.items():
        had = None if old is None else old[key]
        if key == _VISITS:
            _differing(before, after, key, _visits(had or ()), _visits(value))
        elif had != value and key not in ("format", "date", "published"):
            before[key], after[key] = had, value
    _unnamed(before, after)
    _differing(before, after, _PLACED, _placed(old_plan), _placed(new_plan))
    return before, after


def _visits(documents: Any) -> Values:
    return {document["id"]: document for document in documents}


def _unnamed(before: Values, after: Values) -> None:
    """Take patients out of the visits, and say only that another patient has one."""
    old, new = before.get(_VISITS, {}), after.get(_VISITS, {})
    other = {id for id in old if id in new and old[id]["patient"] != new[id]["patient"]}
    for visits, word in ((old, "a patient"), (new, "another patient")):
        for id, document in visits.items():
            visits[id] = {**document, "patient": word if id in other else "a patient"}


def _differing(before: Values, after: Values, key: str, old: Values, new: Values) -> None:
    ids = [id for id in {**old, **new} if old.get(id) != new.get(id)]
    if ids:
        before[key] = {id: old[id] for id in ids if id in old}
        after[key] = {id: new[id] for id in ids if id in new}


def _placed(plan: Plan | None) -> Values:
    return {visit.id: _where(visit) for visit in plan.visits} if plan is not None else {}


def _where(visit: PlacedVisit) -> str:
    """``10:00 on U1 in F1 with T1; 10:30 …``: all that a patient or a therapist is told."""
    who = f" with {visit.therapist}" if visit.therapist is not None else ""
    return "; ".join(f"{clock(part.start)} on {part.unit} in {part.bay}" for part in visit.parts) + who


def in_words(before: Mapping[str, Any], after: Mapping[str, Any]) -> Iterator[str]:
    """One line for each thing that was changed: ``V3 moved from 10:00 on U1 in F1 to …``."""
    for key in {**before, **after}:
        if key not in (_PLACED, _VISITS):
            yield f"{key} changed"
    old, new = before.get(_VISITS, {}), after.get(_VISITS, {})
    for id in {**old, **new}:
        yield f"{id} was taken out" if id not in new else f"{id} was asked for" if id not in old else f"{id} changed"
    old, new = before.get(_PLACED, {}), after.get(_PLACED, {})
    for id in {**old, **new}:
        if id not in old:
            yield f"{id} is placed at {new[id]}"
        elif id not in new:
            yield f"{id} is no longer placed at {old[id]}"
        else:
            yield f"{id} moved from {old[id]} to {new[id]}"
