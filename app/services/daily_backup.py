"""A backup each day that the pages are served, without anybody thinking of it."""

import threading
from collections.abc import Callable
from functools import partial
from pathlib import Path

from app.clock import Clock, wall_clock
from app.errors import StoreError
from app.services.backups import due_backup
from solver.errors import InputError

LOOK_EVERY_S = 600.0


class DailyBackup:
    """Makes the day's backup at once where it is due, and looks again every ten minutes until it is closed.

    ``told``: gets a line for each backup that is made, and for each that cannot be.
    """

    def __init__(
        self,
        data: str,
        folder: Path,
        keep: int,
        told: Callable[[str], None],
        clock: Clock = wall_clock,
        every: float = LOOK_EVERY_S,
    ) -> None:
        self._make = partial(due_backup, data, folder, keep, clock)
        self._told = told
        self._every = every
        self._over = threading.Event()
        self._thread = threading.Thread(target=self._look, name="daily backup", daemon=True)
        self._thread.start()

    def close(self) -> None:
        """A backup that is being made is finished first."""
        self._over.set()
        self._thread.join()

    def _look(self) -> None:
        said = ""
        while True:
            try:
                done = self._make()
                line = "" if done is None else f"The backup of the day is {done.path}."
            except (StoreError, InputError) as error:
                line = f"No backup could be made: {error}"
            if line and line != said:
                self._told(line)
            said = line or said
            if self._over.wait(self._every):
                return
