"""One line on a terminal that says how far a search or a simulation is, written over itself."""

import sys
from shutil import get_terminal_size

from solver.one_line import one_line
from solver.progress import Progress


class ProgressLine:
    """Shows nothing where standard error is no terminal."""

    def __init__(self) -> None:
        self._live = sys.stderr.isatty()
        self._shown = 0

    def show(self, progress: Progress) -> None:
        self.show_text(progress_text(progress))

    def note(self, text: str) -> None:
        """A line that stays."""
        self.clear()
        sys.stderr.write(f"{text}\n")
        sys.stderr.flush()

    def clear(self) -> None:
        if self._shown:
            sys.stderr.write("\r" + " " * self._shown + "\r")
            sys.stderr.flush()
            self._shown = 0

    def show_text(self, text: str) -> None:
        if not self._live:
            return
        line = one_line(text)[: get_terminal_size().columns - 1]
        self._shown = max(self._shown, len(line))  # before it is written: Ctrl-C may come in between
        sys.stderr.write("\r" + line.ljust(self._shown))
        sys.stderr.flush()
        self._shown = len(line)


def progress_text(progress: Progress) -> str:
    """``12.3 s · wish: 35, at least 20``."""
    elapsed = f"{progress.seconds:.1f} s"
    if progress.aim is None:
        return f"{elapsed} · looking for a first plan"
    score, bound = progress.scores.get(progress.aim), progress.bounds.get(progress.aim)
    best = "no plan yet" if score is None else str(score)
    proved = "" if bound is None else f", at least {bound}"
    return f"{elapsed} · {progress.aim}: {best}{proved}"
