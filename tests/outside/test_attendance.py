"""The simulation's defaults are the published figures, and what is drawn with them comes back as they are."""

from math import sqrt
from statistics import mean, stdev

from solver.simulation.chance import block_random, draw
from solver.simulation.lay_out import lay_out
from solver.simulation.settings import Settings
from tests.builders import a_day, a_part, a_plan, a_visit, hands_on, placed

Z_99 = 2.576
RUNS = 20_000


def test_late_and_missed_patients_are_as_many_as_published() -> None:
    # Williams 2014, BMJ Open 4:e004679: 7.7 % late by a minute or more, by 20.5 minutes on the average.
    # English outpatients 2013/14: 6.9 % of the visits are missed.
    visit = a_visit(a_part(hands_on(10)))
    day = a_day(visit)
    layout, random = lay_out(day, a_plan(day, placed(visit, "09:00"))), block_random(0, 0)
    chances = [draw(layout, Settings(), random) for _ in range(RUNS)]
    late = [chance.late[0] for chance in chances if chance.late[0]]
    assert min(late) == 1
    assert abs(len(late) / RUNS - 0.077) < Z_99 * sqrt(0.077 * 0.923 / RUNS)
    assert abs(mean(late) - 20.5) < Z_99 * stdev(late) / sqrt(len(late))
    assert abs(sum(chance.missed[0] for chance in chances) / RUNS - 0.069) < Z_99 * sqrt(0.069 * 0.931 / RUNS)


def test_nothing_takes_longer_unless_the_clinic_says_so() -> None:
    visit = a_visit(a_part(hands_on(10)))
    day = a_day(visit)
    layout, random = lay_out(day, a_plan(day, placed(visit, "09:00"))), block_random(0, 0)
    assert {draw(layout, Settings(), random).longer[0] for _ in range(200)} == {0}
    random = block_random(0, 0)
    often = Settings(overrun_share=0.5, overrun_mean=3)
    assert {0, 1, 2, 3} <= {draw(layout, often, random).longer[0] for _ in range(200)}
