"""How the search behaves towards its caller: news, cancel, time, repeatability, and what it says where nothing fits."""

import os
import resource
import subprocess
import sys
import time
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest

from solver import search
from solver.annealing import Heard, Proved
from solver.beside import Team
from solver.errors import NoPlanInTimeError
from solver.exact.conflict import must_stand, only
from solver.exact.solving import Limits
from solver.exact.standing import Standing
from solver.problem import Day
from solver.progress import Progress
from solver.proving import Proving
from solver.schedule import Plan
from solver.search import FEW_VISITS, MANY_VISITS, solve
from solver.verify import verify
from solver.visits import Fixed, FixedPart
from tests.bench.days import bench_day
from tests.builders import (
    a_break,
    a_channel,
    a_day,
    a_part,
    a_place,
    a_therapist,
    a_unit,
    a_visit,
    an_applicator,
    fixed,
    fixed_part,
    hands_on,
    set_up,
    unattended,
)

ROOT = Path(__file__).parents[2]
LIMITS = Limits(seconds=20.0, workers=1, seed=0)


def a_crowded_day(visits: int = 24) -> Day:
    """Everybody wishes for ten o'clock on one unit: far from proved for a long while."""
    part = a_part(set_up(5), unattended(20), hands_on(5, "anyone"), applicators={"pad-sets": 1}, max_wait_min=10)
    return a_day(
        *(a_visit(part, a_part(hands_on(7)), id=f"V{i}", wish="12:00", priority=1 + i % 3) for i in range(visits)),
        open="08:00",
        close="18:00",
        step_min=5,
        bay_turnover_min=5,
        units=[a_unit(channels=[a_channel(f"s{i}", "pads") for i in range(3)], patients_at_once=3)],
        places=[a_place("front", bays=["F1", "F2", "F3"])],
        applicators=[an_applicator("pad-sets", items=["pads-1", "pads-2"], turnaround_min=10)],
        staff=[
            a_therapist("T1", hours="08:00-18:00", watch_free=3, watch_busy=2, breaks=[a_break(30, "11:00-14:00")]),
            a_therapist("T2", hours="08:00-18:00", watch_free=3, watch_busy=2, breaks=[a_break(30, "11:00-14:00")]),
        ],
    )


def scores(progress: Progress) -> tuple[int, ...]:
    return tuple(progress.scores.values())


def test_news_only_gets_better_and_every_plan_on_the_way_is_right() -> None:
    day = a_crowded_day()
    news: list[Progress] = []
    plan = solve(day, seconds=3, workers=2, on_progress=news.append)
    assert len(news) > 1
    for before, after in pairwise(news):
        assert scores(after) <= scores(before)
        assert all(after.bounds[aim] >= before.bounds[aim] for aim in day.aims)
        assert after.seconds >= before.seconds
    for one in news:
        assert one.plan is not None
        assert verify(day, one.plan) == []
    assert tuple(plan.scores.values()) <= scores(news[-1])
    assert verify(day, plan) == []


CANCELLED = """
import sys, time
from solver.search import solve
from solver.verify import verify
from tests.bench.days import bench_day
from tests.solver.test_search import a_crowded_day
day, after = {day}, {after}
began = time.monotonic()
plan = solve(day, seconds=60, workers=2, should_stop=lambda: time.monotonic() - began > after)
late = time.monotonic() - began - after
assert verify(day, plan) == []
print(plan.status, late)
"""


@pytest.mark.parametrize("day", ["a_crowded_day(12)", "a_crowded_day(24)", 'bench_day("M", 1)'])
@pytest.mark.parametrize("after", [0.05, 0.7, 2.5])
def test_cancel_returns_the_best_so_far_within_half_a_second(after: float, day: str) -> None:
    """Whatever is being done then: loading the solvers' library, building a model, improving, proving.

    In a process of its own, where the library is not loaded yet and nothing else runs.
    """
    status, late = ran(CANCELLED.format(day=day, after=after)).split()
    assert float(late) < 0.5
    assert status == "feasible"


def ran(program: str) -> str:
    """What a program prints that a new interpreter runs."""
    command = [sys.executable, "-c", program]
    return subprocess.run(command, cwd=ROOT, check=True, stdout=subprocess.PIPE, text=True).stdout


def test_a_budget_is_kept() -> None:
    began = time.monotonic()
    plan = solve(a_crowded_day(), seconds=2, workers=2)
    assert time.monotonic() - began < 2.5
    assert plan.status == "feasible"


def test_a_small_day_is_improved_where_the_proofs_have_not_ended_soon(monkeypatch: pytest.MonkeyPatch) -> None:
    def prove_nothing(proving: Proving) -> None:
        while not proving.board.over():
            time.sleep(0.01)

    monkeypatch.setattr(Proving, "run", prove_nothing)
    day, told = bench_day("S", 1), list[Progress]()
    plan = solve(day, seconds=4, on_progress=told.append)
    assert FEW_VISITS < len(day.visits) < MANY_VISITS
    assert plan.scores["wish"] < told[0].scores["wish"]


def test_those_who_improve_a_small_day_hear_what_is_proved_meanwhile(monkeypatch: pytest.MonkeyPatch) -> None:
    """Here that nobody more can be placed; nobody is told anything before, and ``stable`` costs nothing."""
    day, told = bench_day("S", 1, crowded=True), list[Heard]()

    def prove_who_is_placed(proving: Proving) -> None:
        board = proving.board
        while not board.over():
            board.raise_bound("placed", board.best.scores["placed"], {})
            time.sleep(0.01)

    class Listening(Team):
        def tell(self, heard: Plan | Proved) -> None:
            told.append(heard)
            super().tell(heard)

    monkeypatch.setattr(Proving, "run", prove_who_is_placed)
    monkeypatch.setattr(search, "Team", Listening)
    plan = solve(day, seconds=2)
    assert plan.scores["placed"] > 0
    assert Proved(day.aims.index("wish")) in told


def test_no_process_is_left_behind() -> None:
    """Improving beside the proofs ends with the search, and where whoever started it dies."""
    solve(bench_day("M", 1), seconds=1.0, workers=2)
    assert improving_processes(os.getpid()) == []
    program = "from solver.search import solve; from tests.bench.days import bench_day; solve(bench_day('M', 1))"
    parent = subprocess.Popen([sys.executable, "-c", program], cwd=ROOT)
    children: list[int] = []
    waited_until = time.monotonic() + 20
    while not children and time.monotonic() < waited_until:
        time.sleep(0.1)
        children = improving_processes(parent.pid)
    parent.kill()
    parent.wait()
    assert len(children) == 1
    waited_until = time.monotonic() + 5
    while runs(children[0]) and time.monotonic() < waited_until:
        time.sleep(0.1)
    assert not runs(children[0])


def improving_processes(parent: int) -> list[int]:
    """The processes that improve beside a search of this process."""
    listed = Path(f"/proc/{parent}/task/{parent}/children").read_text(encoding="ascii").split()
    return [int(id) for id in listed if b"solver.beside" in Path(f"/proc/{id}/cmdline").read_bytes()]


def runs(process: int) -> bool:
    """True where the process is there and not only waited for."""
    try:
        return Path(f"/proc/{process}/stat").read_text(encoding="utf-8").rsplit(")", 1)[1].split()[0] != "Z"
    except FileNotFoundError:
        return False


@pytest.mark.timeout(120)
def test_memory_does_not_grow_over_many_searches() -> None:
    """Two hundred in one process, after some that warm it up: less than 20 MB more."""
    day = a_crowded_day(3)
    before = 0.0
    for number in range(210):
        solve(day, seconds=1.0, workers=2)
        if number == 9:
            before = resident_mb()
    assert resident_mb() - before < 20


def resident_mb() -> float:
    pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1])
    return pages * resource.getpagesize() / 2**20


def test_a_conflict_is_found_soon_on_a_day_of_a_whole_clinic() -> None:
    """Minimal and within five seconds among 45 visits: two of them are fixed for one therapist at one time."""
    day = bench_day("M", 1)
    able = [visit for visit in day.visits if visit.fixed is None and visit.parts[0].phases[0].hands == "therapist"]
    at = FixedPart(start=day.open + 120)
    clashing = {visit.id: Fixed(therapist="T1", parts=(at,)) for visit in able[:2]}
    visits = (replace(visit, fixed=clashing.get(visit.id, visit.fixed)) for visit in day.visits)
    broken = replace(day, visits=tuple(visits))
    began = time.monotonic()
    plan = solve(broken, workers=2)
    assert time.monotonic() - began < 5
    assert plan.status == "infeasible"
    assert {clash.id for clash in plan.conflict} <= {*clashing, *must_stand(day)[0], *must_stand(day)[1]}
    visits_named = [clash.id for clash in plan.conflict if clash.id in broken.visit_by_id]
    staff_named = [clash.id for clash in plan.conflict if clash.id in broken.staff_by_id]
    assert Standing(only(broken, visits_named, staff_named)).ask(lambda: LIMITS) is False
    for id in visits_named:
        fewer = [other for other in visits_named if other != id]
        assert Standing(only(broken, fewer, staff_named)).ask(lambda: LIMITS) is True


def test_the_same_seed_with_one_worker_gives_the_same_plan() -> None:
    day = a_crowded_day(14)
    solve(a_crowded_day(1))  # the exact search's library is loaded once in a process
    assert solve(day, seconds=20, seed=5, workers=1) == solve(day, seconds=20, seed=5, workers=1)


def test_a_day_without_visits_is_optimal() -> None:
    plan = solve(a_day())
    assert plan.status == "optimal"
    assert plan.scores == plan.bounds == dict.fromkeys(a_day().aims, 0)


def test_a_day_without_aims_is_optimal_with_no_scores() -> None:
    plan = solve(a_day(a_visit(), aims=[]))
    assert (plan.status, dict(plan.scores)) == ("optimal", {})


def two_in_one_chair() -> Day:
    """V1 and V2 are fixed onto one channel at one time; V3 is fixed elsewhere, V4 is free, T1's break has room."""
    return a_day(
        a_visit(id="V1", fixed=fixed(fixed_part("09:30", unit="U1", channels={"pads": ["s1"]}))),
        a_visit(id="V2", fixed=fixed(fixed_part("09:35", unit="U1", channels={"pads": ["s1"]}))),
        a_visit(id="V3", fixed=fixed(fixed_part("11:00"))),
        a_visit(id="V4"),
        step_min=5,
        units=[a_unit(channels=[a_channel("s1", "pads"), a_channel("s2", "pads")], patients_at_once=2)],
        places=[a_place("front", bays=["F1", "F2"])],
        staff=[a_therapist("T1", breaks=[a_break(15, "10:00-11:00")]), a_therapist("T2")],
    )


def test_fixed_visits_that_cannot_stand_give_a_conflict_of_just_them() -> None:
    plan = solve(two_in_one_chair(), workers=1)
    assert plan.status == "infeasible"
    assert [clash.id for clash in plan.conflict] == ["V1", "V2"]
    assert {"channels", "fixed"} <= set(plan.conflict[0].rules)
    assert verify(two_in_one_chair(), plan) == []


def test_a_break_without_room_is_named_by_its_member() -> None:
    day = a_day(
        a_visit(id="V1", fixed=fixed(fixed_part("10:00"))),
        a_visit(id="V2", fixed=fixed(fixed_part("11:20"))),
        step_min=5,
        staff=[a_therapist("T1", breaks=[a_break(15, "10:00-10:20")])],
    )
    plan = solve(day, workers=1)
    assert [clash.id for clash in plan.conflict] == ["V1", "T1"]
    assert all("break" in clash.rules for clash in plan.conflict)


def test_a_conflict_is_minimal() -> None:
    day = two_in_one_chair()
    ids = [clash.id for clash in solve(day, workers=1).conflict]
    visits, staff = must_stand(day)
    kept = ([id for id in visits if id in ids], [id for id in staff if id in ids])
    assert Standing(only(day, *kept)).ask(lambda: LIMITS) is False
    for id in ids:
        fewer = ([v for v in kept[0] if v != id], [s for s in kept[1] if s != id])
        assert Standing(only(day, *fewer)).ask(lambda: LIMITS) is True


def test_no_time_for_an_open_question_is_said() -> None:
    with pytest.raises(NoPlanInTimeError, match="seconds"):
        solve(two_in_one_chair(), should_stop=lambda: True)


def test_reasons_are_true_what_they_name_relaxed_lets_the_visit_in() -> None:
    day = a_day(
        a_visit(id="V1", wish="09:00", priority=5),
        a_visit(id="V2", wish="09:00", free="09:00-09:15"),
        units=[a_unit(channels=[a_channel("s1", "pads")], patients_at_once=2)],
        places=[a_place("front", bays=["F1", "F2"])],
        staff=[a_therapist("T1"), a_therapist("T2")],
    )
    crowded = replace(day, visits=tuple(replace(v, free=day.visit_by_id["V2"].free) for v in day.visits))
    plan = solve(crowded, workers=1)
    (left,) = plan.left_out
    assert left.id == "V2"
    named = {reason.rule for reason in left.reasons}
    assert "channels" in named
    more_channels = a_unit(channels=[a_channel("s1", "pads"), a_channel("s2", "pads")], patients_at_once=2)
    assert solve(replace(crowded, units=(more_channels,)), workers=1).left_out == ()
    assert "patient" in named
    assert solve(day, workers=1).left_out == ()


def test_a_visit_that_the_aims_would_rather_leave_out_says_so() -> None:
    day = a_day(a_visit(id="V1"), aims=["finish", "placed"])
    (left,) = solve(day, workers=1).left_out
    assert "aim" in left.reasons[0].text


@pytest.mark.parametrize(
    ("day", "rule"),
    [
        (a_day(a_visit(a_part(hands_on(2000)))), "hours"),
        (a_day(a_visit(), places=[], units=[a_unit(places=[])]), "unit"),
        (a_day(a_visit(), staff=[]), "hands"),
    ],
)
def test_a_visit_that_no_clinic_like_this_could_ever_place_is_told_why(day: Day, rule: str) -> None:
    plan = solve(day, workers=1)
    assert plan.status == "optimal"
    assert [reason.rule for reason in plan.left_out[0].reasons] == [rule]
    asked_for = replace(day.visits[0], fixed=fixed(fixed_part("09:30")))
    refused = solve(replace(day, visits=(asked_for,)), workers=1)
    assert [(clash.id, clash.rules) for clash in refused.conflict] == [("V1", (rule,))]
