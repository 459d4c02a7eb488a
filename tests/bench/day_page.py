"""How long the Day page takes while ten people click: ``python -m tests.bench.day_page [seconds]``.

A day of size M with its first plan in a database of its own, a real server in a process of its own, ten signed-in
people who ask for the day with and without a filter, zoomed, as a table, or for another date, and wait half a second
to a second and a half in between. Prints the percentiles in milliseconds; the goal is 150 for the 95th.
"""

import socket
import statistics
import sys
import tempfile
import threading
import time
from http.client import HTTPConnection
from multiprocessing import get_context
from pathlib import Path
from random import Random

from app.main import close_app, create_app
from app.routes.access import COOKIE
from app.services.accounts import make_account, new_sign_in_address
from app.services.databases import make_database, open_database
from app.services.days import save_day
from app.services.signing_in import SigningIn
from app.serving import Server
from app.settings import Settings
from solver.compose import plan_of
from solver.construct import construct
from tests.bench.days import DATE, bench_day

PEOPLE, SECONDS, GOAL_MS = 10, 30, 150


def _made(data: str) -> list[str]:
    """Make the clinic's database; the sessions' tokens."""
    make_database(data, "Bench", "Europe/Dublin")
    store = open_database(data)
    day = bench_day("M", 1)
    ledger = construct(day)
    if ledger is None:
        raise RuntimeError("the day has no first plan")
    save_day(store, day, plan_of(day, ledger.visits, ledger.breaks), read=0, actor="bench")
    tokens = []
    for number in range(PEOPLE):
        make_account(store, f"Person {number}", "desk", actor="bench")
        tokens.append(SigningIn(store).use_address(new_sign_in_address(store, f"Person {number}", actor="bench")))
    store.close()
    return tokens


def _serve(data: str, listener: socket.socket) -> None:
    app = create_app(Settings.found(), open_database(data))
    Server(app, lambda: close_app(app)).run(sockets=[listener])


def _click(port: int, token: str, seed: int, until: float, took_ms: list[float]) -> None:
    random = Random(seed)
    units = [unit.id for unit in bench_day("M", 1).units]
    while True:
        time.sleep(random.uniform(0.5, 1.5))
        if time.monotonic() > until:
            return
        unit = random.choice(units)
        query = random.choice(["", "?as=table", "?zoom=60", "?zoom=120", f"?unit={unit}", f"?unit={unit}&as=table"])
        path = f"/day/{DATE.isoformat()}{query}" if random.random() < 0.9 else "/day/2031-03-05"
        begun = time.perf_counter()
        connection = HTTPConnection("127.0.0.1", port, timeout=30)
        connection.request("GET", path, headers={"cookie": f"{COOKIE}={token}"})
        answer = connection.getresponse()
        answer.read()
        connection.close()
        if answer.status != 200:
            raise RuntimeError(f"{path} was answered with {answer.status}")
        took_ms.append(1000 * (time.perf_counter() - begun))


def main(seconds: float = SECONDS) -> None:
    with tempfile.TemporaryDirectory() as folder, socket.socket() as listener:
        data = str(Path(folder) / "clinic.db")
        tokens = _made(data)
        listener.bind(("127.0.0.1", 0))
        listener.listen(128)
        server = get_context("fork").Process(target=_serve, args=(data, listener), daemon=True)
        server.start()
        took_ms: list[float] = []
        until = time.monotonic() + seconds
        people = [
            threading.Thread(target=_click, args=(listener.getsockname()[1], token, seed, until, took_ms))
            for seed, token in enumerate(tokens)
        ]
        for person in people:
            person.start()
        for person in people:
            person.join()
        server.terminate()
        server.join(10)
    cuts = statistics.quantiles(took_ms, n=100)
    print(f"{len(took_ms)} views by {PEOPLE} people in {seconds:.0f} s")  # noqa: T201 - it is what the command is for
    print(f"p50 {cuts[49]:.0f} ms, p95 {cuts[94]:.0f} ms (goal {GOAL_MS}), p99 {cuts[98]:.0f} ms")  # noqa: T201


if __name__ == "__main__":
    main(float(sys.argv[1]) if len(sys.argv) > 1 else SECONDS)
