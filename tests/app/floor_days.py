"""The small day of ``clinic_days`` as the Floor reads it, with events that a test writes down. Nobody in it is real."""

from collections.abc import Iterable
from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo

from app.services.floor.events import Event
from app.services.floor.reading import Reading
from app.services.floor.state import state_of
from solver.clock import parse_clock
from solver.problem import Day
from solver.schedule import Plan
from tests.app.clinic_days import DATE, a_clinic_day, a_clinic_plan

ZONE = ZoneInfo("Europe/Dublin")
DECIDED: dict[str, Any] = {"decision": "go", "by": "Tess Ray", "note": "", "answers": {}}


def instant(time: str) -> datetime:
    """``"09:00"`` or ``"09:00:30"`` of the day."""
    shown = datetime.strptime(time if time.count(":") == 2 else f"{time}:00", "%H:%M:%S").time()
    return datetime.combine(DATE, shown, ZONE).astimezone(UTC)


class Floor:
    """Writes events down in their order, without asking whether they may be."""

    def __init__(self, day: Day | None = None, plan: Plan | None = None) -> None:
        self.day = day or a_clinic_day()
        self.plan = plan or a_clinic_plan(self.day)
        self.events: list[Event] = []

    def say(self, time: str, kind: str, visit: str | None = None, part: int | None = None, **detail: Any) -> Event:
        event = Event(len(self.events) + 1, kind, visit, part, instant(time), "Tess Ray", detail)
        self.events.append(event)
        return event

    def undo(self, time: str, event: Event) -> Event:
        taken = Event(len(self.events) + 1, "undone", event.visit, event.part, instant(time), "Tess Ray", {}, event.id)
        self.events.append(taken)
        return taken

    def begin(self, visit: str, time: str, part: int = 0) -> None:
        """Arrived, decided and started, all at once."""
        if part == 0:
            self.say(time, "arrived", visit)
            self.say(time, "decided", visit, **DECIDED)
        self.say(time, "started", visit, part)

    def run(self, visit: str, times: Iterable[str], part: int = 0) -> None:
        """Begun at the first time, into the next phase at each further one, and ended at the last."""
        first, *others = times
        self.begin(visit, first, part)
        for number, time in enumerate(others[:-1], start=1):
            self.say(time, "phase", visit, part, phase=number)
        self.say(others[-1], "ended", visit, part, reason="")

    def reading(self) -> Reading:
        return Reading(
            date=DATE,
            zone=ZONE,
            day=self.day,
            plan=self.plan,
            version=1,
            mark=f"{len(self.events)}",
            events=tuple(self.events),
            state=state_of(self.events),
            row_ids={visit.id: number for number, visit in enumerate(self.day.visits, start=1)},
            status={},
        )


def minute(time: str) -> int:
    found = parse_clock(time)
    assert found is not None
    return found
