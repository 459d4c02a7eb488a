"""What the bench runs: a day of a size, as it is, crowded or to be repaired; or a classical job shop."""

from dataclasses import dataclass
from typing import Literal

from solver.compose import explained, finished, plan_of
from solver.construct import construct
from solver.problem import Day
from tests.bench.days import bench_day
from tests.bench.repair import repair_day
from tests.outside.job_shop import job_shop_day, read_job_shop

Kind = Literal["day", "crowded", "repair", "job-shop"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """``name``: a size, or for a job shop the instance. ``seconds``: what each entry may take."""

    kind: Kind
    name: str
    seed: int = 0
    seconds: float

    @property
    def title(self) -> str:
        match self.kind:
            case "job-shop":
                return self.name
            case "day":
                return f"{self.name} {self.seed}"
        return f"{self.name} {self.seed} {self.kind}"

    def day(self) -> Day:
        match self.kind:
            case "job-shop":
                return job_shop_day(read_job_shop(self.name))
            case "crowded":
                return bench_day(self.name, self.seed, crowded=True)
            case "repair":
                return _repair(bench_day(self.name, self.seed))
        return bench_day(self.name, self.seed)


def _repair(day: Day) -> Day:
    """What patients were told is the first plan, which needs no search and so is the same on every machine."""
    ledger = construct(day)
    assert ledger is not None, "the bench's days have a first plan"
    told = finished(day, explained(day, plan_of(day, ledger.visits, ledger.breaks)), dict.fromkeys(day.aims, 0))
    return repair_day(day, told)
