"""What more lateness does, with the same random numbers.

It is not true that more lateness never makes fewer people wait: who is late enough finds everything free. What is true:
while watch holds nobody up, nobody begins earlier when others, or they themselves, come later, and nobody begins later
when somebody is missing.
"""

from dataclasses import replace

import pytest

from solver.problem import Day
from solver.schedule import Plan
from solver.simulation.chance import block_random, draw
from solver.simulation.day_run import DayRun
from solver.simulation.lay_out import lay_out
from solver.simulation.settings import Settings
from tests.builders import a_day, a_part, a_plan, a_visit, at, hands_on, placed
from tests.solver.first_plans import planned
from tests.solver.simulation.runs import Run


def _without_watch(size: str, seed: int) -> tuple[Day, Plan]:
    day, plan = planned(size, seed)
    staff = tuple(replace(member, watch_free=99, watch_busy=99, hours=member.hours) for member in day.staff)
    return replace(day, staff=staff), plan


@pytest.mark.parametrize(
    ("less", "more"),
    [
        (Settings(late_mean=5), Settings(late_mean=40)),
        (Settings(late_share=0.1), Settings(late_share=0.6)),
        (Settings(overrun_share=0.1, overrun_mean=2), Settings(overrun_share=0.5, overrun_mean=6)),
        (Settings(missed_share=0.4), Settings(missed_share=0.05)),
    ],
)
@pytest.mark.parametrize("size", ["S", "M"])
def test_nobody_begins_earlier(size: str, less: Settings, more: Settings) -> None:
    layout = lay_out(*_without_watch(size, 1))
    later = 0
    for run in range(8):
        before, after = (
            DayRun(layout, draw(layout, settings, block_random(0, run)), 0).run() for settings in (less, more)
        )
        for one, other in zip(before.begun, after.begun, strict=True):
            if one is not None and other is not None:
                assert one <= other
                later += one < other
    assert later > 0


def test_more_lateness_may_make_fewer_wait() -> None:
    one, two = a_visit(a_part(hands_on(10)), id="V1"), a_visit(a_part(hands_on(10)), id="V2")
    day = a_day(one, two)
    plan = a_plan(day, placed(one, "09:00"), placed(two, "09:10", bay="F2"))
    fewer, more = Run(day, plan, late={"V1": 5}), Run(day, plan, late={"V1": 5, "V2": 5})
    assert fewer.starts("V2") == more.starts("V2") == [at("09:15")]
    assert len(fewer.happened.held) == 1
    assert len(more.happened.held) == 0
