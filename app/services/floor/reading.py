"""A day as the Floor sees it: its plan, and all that happened so far."""

import datetime
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from zoneinfo import ZoneInfo

from app.clock import instant_of
from app.services.floor.events import Event
from app.services.floor.state import State
from solver.problem import Day
from solver.schedule import PlacedPart, PlacedVisit, Plan
from solver.visits import Part


@dataclass(frozen=True, kw_only=True, eq=False)
class Reading:
    """``day`` has its patients by name. ``mark`` is another one whenever anything of it is another.

    ``row_ids`` and ``status``: of each visit that is on the day, by code; a status that is not here is ``booked``.
    """

    date: datetime.date
    zone: ZoneInfo
    day: Day
    plan: Plan
    version: int
    mark: str
    events: tuple[Event, ...]
    state: State
    row_ids: Mapping[str, int]
    status: Mapping[str, str]

    @cached_property
    def placed(self) -> Mapping[str, PlacedVisit]:
        return {visit.id: visit for visit in self.plan.visits}

    def part(self, code: str, number: int) -> tuple[Part, PlacedPart]:
        """The part of a visit that the plan places."""
        return self.day.visit_by_id[code].parts[number], self.placed[code].parts[number]

    def hands(self, code: str, part: int, phase: int) -> str | None:
        """Whose the phase is: who took it over, else who was planned."""
        taken = self.state.visit(code).hands.get((part, phase))
        return taken or self.placed[code].parts[part].hands[phase]

    def instant(self, minute: int) -> datetime.datetime:
        return instant_of(self.date, minute, self.zone)

    def is_there(self, code: str) -> bool:
        """Whether the patient has arrived."""
        return self.state.visit(code).arrived is not None or self.status.get(code) in ("arrived", "fulfilled")

    def is_over(self, code: str) -> bool:
        """Whether nothing more is to come of the visit: all parts over, or stopped, or missed."""
        run = self.state.visit(code)
        over = [part for part in run.parts.values() if part.over is not None]
        every = len(over) == len(self.day.visit_by_id[code].parts)
        return run.stopped or run.missed or every or self.status.get(code) in ("fulfilled", "noshow")

    def is_lapsed(self, code: str, now: datetime.datetime) -> bool:
        """Whether its time went by, late as its patient may be, and nobody said that they came or did not come."""
        if self.is_there(code) or self.is_over(code):
            return False
        visit, parts = self.day.visit_by_id[code], self.placed[code].parts
        ends = parts[-1].start + visit.parts[-1].minutes
        late = max(0, (self.state.visit(code).expected or 0) - parts[0].start)
        return self.instant(ends + late) <= now

    def next_part(self, code: str) -> int | None:
        """The number of the part that may be started next; None where one runs or none is left."""
        run = self.state.visit(code)
        if self.is_over(code) or run.running is not None:
            return None
        return len(run.parts)
