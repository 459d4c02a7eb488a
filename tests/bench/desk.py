"""``python -m tests.bench.desk``: how long the Openings page takes over 20 working days of size M, as one types.

Days of the bench are kept in a new database, each with its first plan. Asked about is what visits of the days ask for,
for a new patient over four weeks: the whole call over HTTP without the network, from the address to HTML. Told are the
first call of a server that has just begun, and the others, in milliseconds beside the goal; then bookings, one by one.
"""

import re
import sys
import tempfile
from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from html import unescape
from pathlib import Path
from time import perf_counter

from fastapi.testclient import TestClient
from sqlmodel import select

from app.db.store import Store
from app.main import create_app
from app.models import Treatment
from app.routes.access import COOKIE
from app.services.accounts import make_account, new_sign_in_address
from app.services.databases import make_database, open_database
from app.services.days import save_day
from app.services.patients import make_patient
from app.services.signing_in import SigningIn
from app.settings import Settings
from solver.construct import construct
from tests.bench.days import bench_day
from tests.builders import a_plan

MONDAY = date(2031, 3, 3)
GOAL_MS = 300
DAYS, WEEK = 28, 7
HIDDEN = re.compile(r'<input type="hidden" name="(\w+)" value="([^"]*)">')
WISHES = ("", "&wish=10:00", "&wish=14:30&therapist={therapist}", "&after=09:00&before=12:00")


def main() -> None:
    with tempfile.TemporaryDirectory(prefix="channelday-bench-") as folder:
        data = str(Path(folder) / "bench.db")
        make_database(data, "Bench", "UTC")
        store = open_database(data)
        therapist = _fill(store)
        patient = make_patient(store, "Nobody Real", actor="bench").id
        make_account(store, "desk", "desk", "", actor="bench")
        app = create_app(Settings.found(), store, clock=lambda: datetime(2031, 3, 3, 7))
        token = SigningIn(store).use_address(new_sign_in_address(store, "desk", actor="bench"))
        client = TestClient(app, base_url="http://127.0.0.1", cookies={COOKIE: token})
        keys = _catalogue(store)
        asked = [
            f"/openings?patient={patient}&what=t{key}{wish.format(therapist=therapist)}"
            for key in keys
            for wish in WISHES
        ]
        _say(f"the first call of all: {_timed(client, asked[0]):.0f} ms")
        for name, headers in (("as one types", {"hx-request": "true"}), ("the whole page", {})):
            times = sorted(_timed(client, address, headers) for address in asked)
            at = [times[min(len(times) - 1, int(share * len(times)))] for share in (0.5, 0.95, 1.0)]
            _say(f"{name}: {len(times)} asked, p50 {at[0]:.0f} ms, p95 {at[1]:.0f} ms, longest {at[2]:.0f} ms")
        _say(f"the goal at p95: {GOAL_MS} ms")
        times = sorted(_booked(client, address) for address in asked[:: len(WISHES)])
        _say(f"booking: {len(times)} booked, p50 {times[len(times) // 2]:.0f} ms, longest {times[-1]:.0f} ms")
        store.close()


def _fill(store: Store) -> str:
    """Twenty working days, each with its first plan; a therapist's code."""
    therapist = ""
    for n in range(DAYS):
        if n % WEEK < 5:
            day = replace(bench_day("M", n + 1), date=MONDAY + timedelta(days=n))
            ledger = construct(day)
            assert ledger is not None
            breaks = [taken for _, taken in sorted(ledger.breaks.items())]
            plan = replace(a_plan(day, *ledger.visits.values(), breaks=breaks), date=day.date)
            save_day(store, day, plan, read=0, actor="bench")
            therapist = next(member.id for member in day.staff if member.kind == "therapist")
    return therapist


def _catalogue(store: Store) -> Sequence[int]:
    """Some of the treatments that the days' visits ask for, put into the catalogue."""
    with store.writing() as session:
        rows = session.exec(select(Treatment).order_by(Treatment.id)).all()  # type: ignore[arg-type]
        chosen = rows[:: max(1, len(rows) // 20)]
        for row in chosen:
            row.code = f"bench-{row.id}"
            session.add(row)
        session.flush()
        return [row.id or 0 for row in chosen]


def _timed(client: TestClient, address: str, headers: dict[str, str] | None = None) -> float:
    begun = perf_counter()
    answer = client.get(address, headers=headers or {})
    assert answer.status_code == 200
    return (perf_counter() - begun) * 1000


def _booked(client: TestClient, address: str) -> float:
    """Choose the best start of the page and book it; the time of the booking alone, its page among it."""
    best = re.search(r'<a href="(/openings[^"]+)" class="first"', client.get(address).text)
    assert best is not None
    chosen = client.get(unescape(best[1])).text
    sent = {name: unescape(value) for name, value in HIDDEN.findall(chosen.partition('action="/openings/book"')[2])}
    begun = perf_counter()
    answer = client.post("/openings/book", data=sent, headers={"sec-fetch-site": "same-origin"})
    assert answer.status_code == 200
    return (perf_counter() - begun) * 1000


def _say(line: str) -> None:
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main()
