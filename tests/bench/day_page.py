"""``python -m tests.bench.day_page``: how fast the Day page is while ten people click, and how soon news reaches them.

A day of size M, planned, in a database of its own; a real server in a process of its own; people with times to think
between clicks, since people who all click at once say nothing of a clinic.
"""

import argparse
import multiprocessing
import random
import statistics
import sys
import tempfile
import threading
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from pathlib import Path

from app.db.store import Store
from app.listening import LOOPBACK_HOST, listen
from app.roles import Role
from app.services.accounts import make_account, new_sign_in_address
from app.services.databases import make_database, open_database
from app.services.days import kept_day, save_day
from solver.compose import plan_of
from solver.construct import construct
from solver.problem import Day
from solver.schedule import Plan
from tests.bench.days import bench_day

GOAL_MS = 150
THINK_S = (0.5, 2.5)
WEEK = 5
PEOPLE: tuple[Role, ...] = ("desk", "therapist", "manager", "administrator")


@dataclass
class Clicks:
    """What one person waited for, in milliseconds."""

    waits: list[float] = field(default_factory=list)
    failed: int = 0


def planned(day: Day) -> Plan:
    ledger = construct(day)
    assert ledger is not None
    return plan_of(day, ledger.visits, ledger.breaks)


def made_clinic(folder: Path, size: str) -> tuple[str, list[date]]:
    """A database with a week of days of the size, each with its plan."""
    data = str(folder / "bench.db")
    make_database(data, "Bench clinic", "Europe/Dublin")
    store = open_database(data)
    day = bench_day(size, 1)
    plan = planned(day)
    dates = [day.date + timedelta(days=number) for number in range(WEEK)]
    for on in dates:
        save_day(store, replace(day, date=on), replace(plan, date=on), read=0, actor="bench")
    for number in range(10):
        make_account(store, f"person {number}", PEOPLE[number % len(PEOPLE)], actor="bench")
    store.close()
    return data, dates


def serve(data: str, port: int) -> None:
    """In a process of its own."""
    from app.main import close_app, create_app
    from app.serving import Server
    from app.settings import Settings

    listener = listen(LOOPBACK_HOST, port)
    assert listener is not None
    app = create_app(Settings.found(), open_database(data))
    Server(app, lambda: close_app(app)).run(sockets=[listener])


@contextmanager
def served(data: str, port: int) -> Iterator[str]:
    process = multiprocessing.get_context("spawn").Process(target=serve, args=(data, port), daemon=True)
    process.start()
    base = f"http://{LOOPBACK_HOST}:{port}"
    for _ in range(200):
        try:
            urllib.request.urlopen(f"{base}/sign-in", timeout=1).read()
            break
        except OSError:
            time.sleep(0.1)
    try:
        yield base
    finally:
        process.terminate()
        process.join(10)


def browser_of(store: Store, base: str, person: str) -> urllib.request.OpenerDirector:
    """Signed in."""
    opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor())
    token = new_sign_in_address(store, person, actor="bench")
    opener.open(f"{base}/once/{token}", timeout=20).read()
    return opener


def click(opener: urllib.request.OpenerDirector, base: str, dates: list[date], until: float, seed: int) -> Clicks:
    """Look at days and filter them, with times to think between."""
    chance, clicks = random.Random(seed), Clicks()
    queries = ("", "?as=table", "?zoom=120", "?staff=T1", "?unit=U1", "?at=10:00", "?patient=3")
    time.sleep(chance.uniform(*THINK_S))
    while time.monotonic() < until:
        address = f"{base}/day/{chance.choice(dates)}{chance.choice(queries)}"
        began = time.perf_counter()
        try:
            opener.open(address, timeout=20).read()
        except OSError:
            clicks.failed += 1
        clicks.waits.append((time.perf_counter() - began) * 1000)
        time.sleep(chance.uniform(*THINK_S))
    return clicks


def news_after_saves(
    store: Store, openers: list[urllib.request.OpenerDirector], base: str, on: date, saves: int
) -> list[float]:
    """From each save to the last of the open pages that heard of it, in seconds."""
    heard: list[list[float]] = [[] for _ in openers]

    def listen_to(number: int) -> None:
        with openers[number].open(f"{base}/day/{on}/changes?seen=1", timeout=60) as stream:
            for line in stream:
                if line.startswith(b"event: changed"):
                    heard[number].append(time.monotonic())
                if len(heard[number]) == saves:
                    return

    threads = [threading.Thread(target=listen_to, args=(number,), daemon=True) for number in range(len(openers))]
    for thread in threads:
        thread.start()
    time.sleep(1.5)
    saved = []
    for _ in range(saves):
        kept = kept_day(store, on)
        assert kept is not None
        other = replace(kept.day, move_min=kept.day.move_min ^ 1)
        save_day(store, other, planned(other), read=kept.version, actor="bench")
        saved.append(time.monotonic())
        time.sleep(1.5)
    for thread in threads:
        thread.join(10)
    return [max(times[i] for times in heard) - at for i, at in enumerate(saved)]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--size", default="M")
    parser.add_argument("--seconds", type=float, default=30)
    parser.add_argument("--people", type=int, default=10)
    parser.add_argument("--port", type=int, default=8470)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        data, dates = made_clinic(Path(folder), asked.size)
        store = open_database(data)
        with served(data, asked.port) as base:
            openers = [browser_of(store, base, f"person {number % 10}") for number in range(asked.people)]
            until, found = time.monotonic() + asked.seconds, [Clicks() for _ in openers]

            def run(number: int) -> None:
                found[number] = click(openers[number], base, dates, until, number)

            threads = [threading.Thread(target=run, args=(number,)) for number in range(asked.people)]
            for thread in threads:
                thread.start()
            for thread in threads:
                thread.join()
            waits = sorted(wait for clicks in found for wait in clicks.waits)
            cuts = statistics.quantiles(waits, n=100)
            failed = sum(clicks.failed for clicks in found)
            sys.stdout.write(
                f"{len(waits)} clicks of {asked.people} people on days of size {asked.size}, {failed} failed: "
                f"p50 {cuts[49]:.0f} ms, p95 {cuts[94]:.0f} ms (goal {GOAL_MS}), p99 {cuts[98]:.0f} ms\n"
            )
            delays = news_after_saves(store, openers, base, dates[-1], 5)
            told = ", ".join(f"{delay:.2f}" for delay in delays)
            sys.stdout.write(f"news of a save at the last of {len(openers)} open pages after {told} s (goal 1)\n")
        store.close()


if __name__ == "__main__":
    main()
