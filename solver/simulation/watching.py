"""How much the staff can watch at a minute of a run, and for how many minutes that was too little."""

from collections.abc import Sequence

from solver.simulation.layout import Layout, Shift

GONE = -1
"""The end of a task that is missed: it holds nothing and never did. Real ends are minutes from midnight."""


class Watching:
    """Counts along with a run. A member is there in their hours, and after them until their hands-on tasks are done."""

    def __init__(self, layout: Layout, ended: Sequence[int | None]) -> None:
        self._layout = layout
        self._ended = ended
        self._busy = [False] * len(layout.members)
        self._on_break = [False] * len(layout.members)
        self.running = 0
        self.short_minutes = 0
        self._short_since: int | None = None

    def begin(self, number: int) -> None:
        """A task begins."""
        self._change(number, 1)

    def end(self, number: int) -> None:
        """A task ends."""
        self._change(number, -1)

    def _change(self, number: int, by: int) -> None:
        task = self._layout.tasks[number]
        if task.unattended:
            self.running += by
        if task.staff is not None:
            (self._on_break if task.visit is None else self._busy)[task.staff] = by > 0

    def capacity(self, minute: int) -> int:
        """How many unattended parts the staff can watch in the minute, as things stand."""
        watch = 0
        for n, member in enumerate(self._layout.members):
            if self._on_break[n]:
                continue
            for shift in member.shifts:
                if shift.start <= minute and (minute < shift.end or self._to_do(shift)):
                    watch += member.watch_busy if self._busy[n] else member.watch_free
                    break
        return watch

    def _to_do(self, shift: Shift) -> bool:
        return any(self._ended[task] is None for task in shift.tasks)

    def before(self, minute: int) -> None:
        """Count the minutes up to this one as they stood."""
        if self._short_since is not None:
            self.short_minutes += minute - self._short_since
            self._short_since = None

    def after(self, minute: int) -> None:
        """All that happens in this minute has been told."""
        if self.running and self.running > self.capacity(minute):
            self._short_since = minute
