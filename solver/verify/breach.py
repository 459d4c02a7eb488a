"""What the verifier finds, and what each of its rules looks like."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Protocol

from solver.names import RuleName
from solver.problem import Day
from solver.schedule import Plan


@dataclass(frozen=True, slots=True)
class Breach:
    """A broken rule: its name (or ``shape``, ``scores``, ``status``), and who, what, when and with which resource."""

    rule: str
    text: str

    def __str__(self) -> str:
        return f"{self.rule}: {self.text}"


class Rule(Protocol):
    """One rule of the contract. ``check`` may rely on the plan's shape and on nothing else."""

    name: RuleName

    def check(self, day: Day, plan: Plan) -> Iterator[Breach]: ...
