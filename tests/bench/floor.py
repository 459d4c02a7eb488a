"""``python -m tests.bench.floor``: how soon a press on the Floor shows on every open board, and that none is lost.

A day of size M in a database of its own; a real server in a process of its own; boards that listen for news and fetch
the page on each, as the browser does; an event a second. Half-way the server is ended and started again.
"""

import argparse
import statistics
import sys
import tempfile
import threading
import time
import urllib.request
import uuid
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from urllib.error import URLError
from urllib.parse import urlencode

from app.db.store import Store
from app.queries.visit_life import row_ids
from app.services.databases import open_database
from tests.bench.day_page import browser_of, made_clinic, served

GOAL_S = 1.0


@dataclass
class Board:
    """An open board. ``seen``: when each text that a press noted was first on it, by the text."""

    opener: urllib.request.OpenerDirector
    address: str
    seen: dict[str, float] = field(default_factory=dict)
    failed: int = 0
    stop: bool = False

    def watch(self) -> None:
        """Listen, fetch and read until it is stopped; connect again where the server is away."""
        last = ""
        while not self.stop:
            try:
                with self.opener.open(f"{self.address}/changes?seen={last}", timeout=30) as stream:
                    for line in stream:
                        if self.stop:
                            return
                        if line.startswith(b"id: "):
                            last = line[4:].decode().strip()
                        if line.startswith(b"event: changed"):
                            self._read()
            except (OSError, URLError):
                time.sleep(0.1)

    def _read(self) -> None:
        page = self.opener.open(self.address, timeout=20).read().decode()
        now = time.monotonic()
        for text in page.split("press-")[1:]:
            self.seen.setdefault(f"press-{text.split(' ')[0].split('<')[0]}", now)


def send(opener: urllib.request.OpenerDirector, address: str, fields: Mapping[str, str]) -> None:
    """A press; where the server is away it is sent again, under the same key, until it is taken."""
    request = urllib.request.Request(
        f"{address}/press", urlencode(fields).encode(), {"Sec-Fetch-Site": "same-origin", "Host": address.split("/")[2]}
    )
    for _ in range(200):
        try:
            opener.open(request, timeout=20).read()
            return
        except (OSError, URLError):
            time.sleep(0.1)
    raise AssertionError("the server takes no press")


def run(store: Store, data: str, on: date, boards: int, seconds: int, port: int) -> tuple[list[float], int]:
    """Waits of each board for each press, in seconds, and how many presses were taken."""
    with store.reading() as session:
        visits = sorted(row_ids(session, 1, on).values())
    sent: dict[str, float] = {}
    watching: list[Board] = []
    taken = 0
    for half in range(2):
        with served(data, port) as base:
            address = f"{base}/floor/{on}"
            if not watching:
                watching = [Board(browser_of(store, base, f"person {n % 10}"), address) for n in range(boards)]
                for board in watching:
                    threading.Thread(target=board.watch, daemon=True).start()
            presser = browser_of(store, base, "person 1")
            time.sleep(2)
            for number in range(seconds // 2):
                text = f"press-{half}-{number}"
                visit = str(visits[number % len(visits)])
                if number < len(visits) and half == 0:
                    arrive = {"key": str(uuid.uuid4()), "kind": "arrived", "visit": visit}
                    send(presser, address, arrive)
                send(
                    presser,
                    address,
                    {"key": str(uuid.uuid4()), "kind": "comfort", "visit": visit, "part": "0", "said": text},
                )
                sent[text], taken = time.monotonic(), taken + 1
                time.sleep(1)
            time.sleep(1)
    for board in watching:
        board.stop = True
    waits = [board.seen[text] - at for text, at in sent.items() for board in watching if text in board.seen]
    missed = sum(1 for text in sent for board in watching if text not in board.seen)
    sys.stdout.write(f"{missed} of {len(sent) * len(watching)} times a board passed a press over for a newer page\n")
    return waits, taken


def events_kept(store: Store) -> int:
    from sqlmodel import select

    from app.models import LiveEvent

    with store.reading() as session:
        return len(session.exec(select(LiveEvent.id).where(LiveEvent.kind == "comfort")).all())


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--size", default="M")
    parser.add_argument("--boards", type=int, default=40)
    parser.add_argument("--seconds", type=int, default=30)
    parser.add_argument("--port", type=int, default=8480)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        data, dates = made_clinic(Path(folder), asked.size)
        store = open_database(data)
        waits, taken = run(store, data, dates[0], asked.boards, asked.seconds, asked.port)
        cuts = statistics.quantiles(sorted(max(0.0, wait) for wait in waits), n=100)
        sys.stdout.write(
            f"{asked.boards} boards, a day of size {asked.size}, an event a second, the server started anew half-way: "
            f"a press shows after p50 {cuts[49]:.2f} s, p95 {cuts[94]:.2f} s (goal {GOAL_S:g}), "
            f"most {max(waits):.2f} s; {taken} presses taken, {events_kept(store)} kept\n"
        )
        store.close()


if __name__ == "__main__":
    main()
