"""Who takes part in the bench, on which cases, and what each may take by default."""

from dataclasses import dataclass

from tests.bench.cases import Case, Kind
from tests.bench.peers.time_indexed import DROPPED


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """``run`` is ``module:function``. ``dropped``: the rules it is spared, in its favour; empty: it keeps all."""

    name: str
    run: str
    dropped: str = ""
    job_shop: bool = False
    days: bool = True

    def takes(self, case: Case) -> bool:
        return self.job_shop if case.kind == "job-shop" else self.days


OURS = Entry(name="Channelday", run="tests.bench.ours:run_ours", job_shop=True)
PEERS = (
    Entry(name="first fit by wish", run="tests.bench.peers.first_fit:run_first_fit"),
    Entry(name="CP-SAT grid, 2 workers", run="tests.bench.peers.cp_sat:run_two_workers", dropped=DROPPED),
    Entry(name="CP-SAT grid, 8 workers", run="tests.bench.peers.cp_sat:run_eight_workers", dropped=DROPPED),
    Entry(name="HiGHS grid", run="tests.bench.peers.mip:run_highs", dropped=DROPPED),
    Entry(
        name="PyJobShop",
        run="tests.bench.peers.job_shop_peer:run_pyjobshop",
        dropped="all rules but the order of parts and one part at a time on a machine: a job shop needs no others",
        job_shop=True,
        days=False,
    ),
)

SIZES_OF: dict[Kind, tuple[str, ...]] = {
    "day": ("S", "M", "L", "XL"),
    "crowded": ("S", "M", "L"),
    "repair": ("M", "L"),
    "job-shop": ("ft06", "la01", "la02", "la03", "la05", "ft10", "ft20", "abz5", "abz6"),
}
SECONDS_OF: dict[Kind, dict[str, float]] = {
    "day": {"S": 10, "M": 30, "L": 120, "XL": 120},
    "crowded": {"S": 10, "M": 20, "L": 60},
    "repair": {"M": 10, "L": 20},
    "job-shop": {"ft06": 10, "la01": 10, "la02": 10, "la03": 10, "la05": 10},
}
LONG_SECONDS = 60.0


def cases_of(kinds: list[Kind], sizes: list[str], days: int, most_seconds: float | None) -> list[Case]:
    """The cases of the kinds and sizes; job shops have no size and belong to every run of their kind."""
    cases = []
    for kind in kinds:
        for name in SIZES_OF[kind]:
            if kind != "job-shop" and name not in sizes:
                continue
            seconds = SECONDS_OF[kind].get(name, LONG_SECONDS)
            seconds = seconds if most_seconds is None else min(seconds, most_seconds)
            seeds = (0,) if kind == "job-shop" else range(1, days + 1)
            cases += [Case(kind=kind, name=name, seed=seed, seconds=seconds) for seed in seeds]
    return cases
