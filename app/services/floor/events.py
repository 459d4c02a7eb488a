"""Events as the Floor reads them, and which of them stand."""

import datetime
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Event:
    """One press. ``visit``: its code; ``at``: when it was pressed; ``undoes``: the id of the event it takes back."""

    id: int
    kind: str
    visit: str | None
    part: int | None
    at: datetime.datetime
    actor: str
    detail: Mapping[str, Any]
    undoes: int | None = None

    @property
    def about(self) -> str:
        """A visit, an item, a unit or a staff member: presses about one of them rest on each other."""
        if self.visit is not None:
            return f"visit {self.visit}"
        return next((f"{kind} {self.detail[kind]}" for kind in ("item", "unit", "staff") if kind in self.detail), "day")


def standing(events: Iterable[Event]) -> list[Event]:
    """The events that nothing takes back, in their order; what takes back another is not among them."""
    void: set[int] = set()
    kept: list[Event] = []
    for event in sorted(events, key=lambda one: one.id, reverse=True):
        if event.id in void:
            continue
        if event.undoes is not None:
            void.add(event.undoes)
        else:
            kept.append(event)
    return kept[::-1]


def may_be_undone(events: Iterable[Event], id: int) -> bool:
    """Whether it stands and is the last that does of what it is about: what came after rests on it."""
    kept = standing(events)
    about = next((event.about for event in kept if event.id == id), None)
    return about is not None and next(event.id for event in reversed(kept) if event.about == about) == id
