"""``python -m tests.bench.late``: how long the right-shift of a late day takes, and what a repair gains on it.

The days are the bench's invented ones; what happens on them is drawn by chance. The repair runs in a process of its
own, as in the product, with as many seconds; beside it stands the plain right-shift of the same day.
"""

import argparse
import random
import statistics
import sys
import time

from app.services.floor.late import SEARCH_S
from app.worker import Worker
from solver.clock import clock
from solver.compose import plan_of
from solver.construct import construct
from solver.late import LiveDay, Outcome, for_repair, live_day, outcome_of, shifted
from solver.problem import Day
from solver.progress import Progress
from solver.schedule import Plan
from tests.bench.days import bench_day
from tests.bench.happenings import chance, longer, on_time

GOAL_MS = 1_000
GOAL_REPAIR_S = 5.0


def planned(size: str, seed: int) -> tuple[Day, Plan]:
    day = bench_day(size, seed)
    ledger = construct(day)
    assert ledger is not None
    return day, plan_of(day, ledger.visits, ledger.breaks)


def shifts(size: str, days: int, times: int) -> list[float]:
    """Milliseconds from what happened to the shifted plan, verified."""
    took = []
    for seed in range(1, days + 1):
        (day, plan), pick = planned(size, seed), random.Random(seed)
        for _ in range(times):
            happened = chance(day, plan, pick.randrange(day.open, day.close), pick)
            began = time.perf_counter()
            shifted(live_day(day, plan, happened), plan)
            took.append((time.perf_counter() - began) * 1000)
    return took


def repair(live: LiveDay) -> tuple[Outcome | None, float]:
    began = time.perf_counter()
    ended = Worker(for_repair(live, live.planned), SEARCH_S).follow(_untold)
    found = None if ended.plan is None else outcome_of(live, ended.plan)
    return found, time.perf_counter() - began


def _untold(_progress: Progress) -> None:
    return


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sizes", default="M,L")
    parser.add_argument("--days", type=int, default=3)
    parser.add_argument("--times", type=int, default=50)
    parser.add_argument("--repairs", type=int, default=4)
    asked = parser.parse_args()
    for size in asked.sizes.split(","):
        took = shifts(size, asked.days, asked.times)
        cuts = statistics.quantiles(took, n=100)
        sys.stdout.write(
            f"{size}: {len(took)} shifts, p50 {cuts[49]:.0f} ms, p95 {cuts[94]:.0f} ms, most {max(took):.0f} ms "
            f"(goal {GOAL_MS})\n"
        )
        day, plan = planned(size, 1)
        pick = random.Random(size)
        done = 0
        while done < asked.repairs:
            now = pick.randrange(day.open + 40, day.close - 120)
            happened = on_time(day, plan, now)
            running = [key for key, ran in happened.ran.items() if not ran.over]
            live = live_day(day, plan, longer(happened, pick.choice(running), 12)) if running else None
            if live is None or live.broken:
                continue
            done += 1
            plain = shifted(live, plan)
            found, seconds = repair(live)
            beside = "none" if found is None else f"{len(found.left)} without a place, {found.minutes} min moved"
            sys.stdout.write(
                f"{size} at {clock(now)}, a part 12 min over: shift {len(plain.left)} without a place, {plain.minutes} "
                f"min moved; repair {beside}, after {seconds:.1f} s (goal {GOAL_REPAIR_S:g})\n"
            )


if __name__ == "__main__":
    main()
