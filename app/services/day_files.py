"""The day and the plan of the demo: a folder with two files, and the version of the plan on show."""

import threading
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from solver.errors import Fault, InputError, PlanRefusedError
from solver.jsonio import parse_day, plan_document, write_json
from solver.problem import Day
from solver.reading.files import read_bytes
from solver.schedule import Plan
from solver.verify import verify


@dataclass(frozen=True, slots=True)
class Shown:
    """What the page shows: a day, the plan made of exactly that day, and its version, counted from 1."""

    day: Day
    plan: Plan
    version: int


class DayFiles:
    """Reads ``day.json`` and writes ``plan.json`` in a folder. One day of one clinic; safe to use from many threads."""

    def __init__(self, folder: Path) -> None:
        self.day_path = folder / "day.json"
        self.plan_path = folder / "plan.json"
        self._lock = threading.Lock()
        self._shown: Shown | None = None
        self._planned_from = b""

    def read(self) -> tuple[Day, bytes]:
        """The day as the file has it now, and the file's bytes. Raises InputError with every fault."""
        try:
            content = read_bytes(self.day_path)
        except InputError as error:
            raise InputError(Fault("day.json", fault.what, "put the file back") for fault in error.faults) from None
        day = parse_day(content)
        if self._shown is not None and day.date != self._shown.day.date:
            kept = self._shown.day.date.isoformat()
            raise InputError([Fault("date", f"{day.date} is another day", f"this page is for {kept}: keep the date")])
        return day, content

    def save(self, day: Day, content: bytes, plan: Plan) -> Shown:
        """Verify the plan, write it, and show it as the next version.

        Raises PlanRefusedError where the plan breaks a rule and InputError where it cannot be written; then what is on
        show stays. ``content``: the file's bytes that the day was read from.
        """
        breaches = verify(day, plan)
        if breaches:
            raise PlanRefusedError(str(breach) for breach in breaches)
        with self._lock:
            write_json(self.plan_path, plan_document(plan))
            self._shown = Shown(day, plan, self._shown.version + 1 if self._shown else 1)
            self._planned_from = content
            return self._shown

    def shown(self, day: date) -> Shown | None:
        """What to show of a date; None where there is nothing."""
        shown = self._shown
        return shown if shown is not None and shown.day.date == day else None

    @property
    def date(self) -> date | None:
        return self._shown.day.date if self._shown else None

    def edited(self) -> bool:
        """True where the day file is no longer the one that the plan was made from."""
        try:
            if self.day_path.stat().st_size != len(self._planned_from):
                return True
            return read_bytes(self.day_path) != self._planned_from
        except (OSError, InputError):
            return True
