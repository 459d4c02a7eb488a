"""What can go wrong, as a tree:

Exception
└── ChanneldayError
    ├── InputError          a file or a value from outside is wrong; carries every fault found
    │   └── UnreadableError a file cannot be read as JSON at all
    ├── PlanRefusedError    the verifier found a broken rule in a plan that was about to be written
    ├── NoPlanInTimeError   time was up before there was a plan, or a proof that there is none
    └── SimulationBrokenError  a process of a simulation ended before its work was done
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from solver.one_line import one_line


class ChanneldayError(Exception):
    """Base of every error this project raises on purpose."""


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong with an input: where it stands, what is wrong, what would be right."""

    where: str
    what: str
    right: str

    def under(self, prefix: str) -> "Fault":
        """The same fault seen from outside: ``phases[1].min`` under ``parts[0]`` is ``parts[0].phases[1].min``."""
        if not prefix:
            return self
        joint = "" if not self.where or self.where.startswith("[") else "."
        return Fault(f"{prefix}{joint}{self.where}", self.what, self.right)

    def __str__(self) -> str:
        return f"{one_line(self.where) or 'file'}: {one_line(self.what)}; {one_line(self.right)}"


class InputError(ChanneldayError):
    """Carries every fault of an input, in the order of the input."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults: Sequence[Fault] = tuple(faults)
        super().__init__(self.faults)

    def __str__(self) -> str:
        return "\n".join(str(fault) for fault in self.faults)


class UnreadableError(InputError):
    """The file is missing, too large, not UTF-8 or not JSON, so nothing in it could be checked."""


class PlanRefusedError(ChanneldayError):
    """A plan broke a rule when it was verified before being written; carries the verifier's lines."""

    def __init__(self, lines: Iterable[str]) -> None:
        self.lines: Sequence[str] = tuple(lines)
        super().__init__("\n".join(self.lines))


class NoPlanInTimeError(ChanneldayError):
    """Whether the fixed visits and the breaks can stand was still open when time was up."""

    def __init__(self, seconds: float) -> None:
        super().__init__(f"no plan was found within {seconds:g} seconds, nor a proof that there is none; give more")


class SimulationBrokenError(ChanneldayError):
    """A process of a simulation ended from outside, so that its runs are lacking."""

    def __init__(self) -> None:
        super().__init__("a process of the simulation was ended from outside; run it again")


def refuse_if(faults: Sequence[Fault]) -> None:
    """Raise InputError with the faults where there are any."""
    if faults:
        raise InputError(faults)
