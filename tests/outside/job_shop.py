"""Classical job-shop instances as days: machines are units of one channel, jobs are visits that go round them."""

from dataclasses import dataclass
from pathlib import Path

from solver.clinic import Channel, Place, StaffMember, Unit
from solver.clock import DAY_MIN, Interval
from solver.problem import Day
from solver.visits import Part, Phase, Visit
from tests.builders import A_DATE

INSTANCES = Path(__file__).parent / "instances"


@dataclass(frozen=True, slots=True)
class JobShop:
    """``jobs[j]`` holds the operations of job j in order, each a machine (from 0) and a duration."""

    machines: int
    jobs: tuple[tuple[tuple[int, int], ...], ...]


def read_job_shop(name: str) -> JobShop:
    """The instance of that name, from a file in the classical format (its source is in its first lines)."""
    lines = (INSTANCES / f"{name}.txt").read_text(encoding="utf-8").splitlines()
    rows = [[int(word) for word in line.split()] for line in lines if not line.startswith("#")]
    (count, machines), jobs = rows[0], rows[1:]
    assert len(jobs) == count
    assert all(sorted(job[::2]) == list(range(machines)) for job in jobs)
    return JobShop(machines, tuple(tuple(zip(job[::2], job[1::2], strict=True)) for job in jobs))


def job_shop_day(instance: JobShop) -> Day:
    """The instance as a day of 24 hours, a minute for each unit of its time.

    Every job has a bay's worth of room and every operation is unattended, with watch enough for all, so that the
    machines alone bind and the aim `finish` is the makespan.
    """
    jobs = range(len(instance.jobs))
    return Day(
        date=A_DATE,
        step_min=1,
        open=0,
        close=DAY_MIN,
        units=tuple(
            Unit(id=f"M{m}", channels=(Channel(id="c", drives=("pads",)),), patients_at_once=1, places=("hall",))
            for m in range(instance.machines)
        ),
        applicators=(),
        places=(Place(id="hall", bays=tuple(f"B{b}" for b in range(max(len(jobs), instance.machines)))),),
        staff=(
            StaffMember(
                id="T1",
                kind="therapist",
                hours=(Interval(0, DAY_MIN),),
                watch_free=len(jobs),
                watch_busy=len(jobs),
            ),
        ),
        visits=tuple(
            Visit(
                id=f"J{j}",
                patient=f"job {j}",
                same_unit=False,
                parts=tuple(
                    Part(
                        id=f"o{o}",
                        channels={"pads": 1},
                        units=(f"M{machine}",),
                        phases=(Phase(minutes=minutes, hands="nobody", running=True),),
                    )
                    for o, (machine, minutes) in enumerate(instance.jobs[j])
                ),
            )
            for j in jobs
        ),
        aims=("placed", "finish"),
    )
