"""One small day with its plan for the page's tests, with something of everything that is drawn. Nobody in it is real.

Open 09:00–12:00. Rowan (``U1``, battery, places front and back): ``Ann Early`` at front 09:00–09:20 on ``u1`` and
``s1``; ``Bea Later`` at back 10:00–10:20 on ``s1``. Sorrel (``U2``, mains, out of service from 11:00): ``Cy Two``,
``p1`` 09:30–09:40 on ``u1`` and, 10 minutes later, ``p2`` 09:50–10:05 on ``s1``. ``Dee Out`` is left out.
"""

import atexit
import os
import shutil
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any, cast

from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.clock import Clock
from app.db.store import Store
from app.main import create_app
from app.roles import ROLES, Role
from app.routes.access import COOKIE
from app.routes.parts import Parts
from app.services.accounts import make_account, new_sign_in_address
from app.services.databases import make_database, open_database
from app.services.days import save_day
from app.services.planning import Planning
from app.settings import Settings
from app.views.parts import Planned
from solver.compose import ledger_of, plan_of
from solver.construct import fill
from solver.problem import Day
from solver.progress import Progress, ProgressCallback, StopRequest
from solver.schedule import PlacedBreak, Plan
from tests.builders import (
    a_battery,
    a_break,
    a_channel,
    a_day,
    a_part,
    a_place,
    a_plan,
    a_therapist,
    a_unit,
    a_visit,
    an_applicator,
    an_assistant,
    hands_on,
    placed,
    placed_part,
    set_up,
    unattended,
    with_parts,
)

HOST = {"host": "127.0.0.1"}
HERE = {**HOST, "sec-fetch-site": "same-origin"}
ADDRESS = "/day/2031-03-04"
DATE = date(2031, 3, 4)


def a_clinic_day() -> Day:
    both = a_part(set_up(5), hands_on(10), set_up(5), channels={"ultrasound": 1, "pads": 1}, applicators={"heads": 1})
    return a_day(
        a_visit(both, id="V1", patient="Ann Early", wish="09:10"),
        a_visit(a_part(set_up(5), unattended(15)), id="V2", patient="Bea Later", wish="10:00"),
        a_visit(
            a_part(hands_on(10), channels={"ultrasound": 1}),
            a_part(set_up(5, hands="anyone"), unattended(10)),
            id="V3",
            patient="Cy Two",
        ),
        a_visit(a_part(hands_on(10)), id="V4", patient="Dee Out"),
        units=(
            a_unit(
                "U1",
                name="Rowan",
                channels=(a_channel("u1", "ultrasound"), a_channel("s1")),
                places=("front", "back"),
                battery=a_battery(capacity_wh=60, start_pct=50, reserve_pct=20, standby_w=6, charge_w=30),
            ),
            a_unit("U2", name="Sorrel", hours="09:00-11:00"),
        ),
        places=(a_place("front", name="Front"), a_place("back", ("B1",), name="Back")),
        staff=(
            a_therapist("T1", name="Tess Ray", watch_free=2, watch_busy=1, breaks=(a_break(15, "11:00-12:00"),)),
            an_assistant("A1", name="Ali Bo", watch_free=1, watch_busy=0, hours="09:00-11:30"),
        ),
        applicators=(an_applicator("heads", ("head-1",), turnaround_min=10),),
        move_min=5,
        bay_turnover_min=5,
    )


def a_clinic_plan(day: Day, ann_at: str = "09:00") -> Plan:
    ann, bea, cy, _ = day.visits
    return a_plan(
        day,
        placed(
            ann,
            placed_part(
                ann.parts[0], ann_at, channels={"ultrasound": ["u1"], "pads": ["s1"]}, items={"heads": ["head-1"]}
            ),
        ),
        placed(bea, placed_part(bea.parts[0], "10:00", place="back", bay="B1", channels={"pads": ["s1"]})),
        placed(
            cy,
            placed_part(cy.parts[0], "09:30", unit="U2", bay="F2", channels={"ultrasound": ["u1"]}),
            placed_part(cy.parts[1], "09:50", unit="U2", bay="F2", channels={"pads": ["s1"]}, hands="A1"),
        ),
        breaks=(PlacedBreak(staff="T1", start=660, end=675),),
    )


def planned() -> Planned:
    day = a_clinic_day()
    return Planned(day, a_clinic_plan(day))


@cache
def _made() -> Path:
    """A clinic's file with the day, its plan as version 1, and an account for each role; to be copied."""
    day = a_clinic_day()
    return file_with("Rowan Street", lambda store: save_day(store, day, a_clinic_plan(day), read=0, actor="test"))


def file_with(name: str, fill: Callable[[Store], object]) -> Path:
    """The file of a clinic that is filled so and has an account for each role; it goes away with the process."""
    folder = Path(tempfile.mkdtemp(prefix="channelday-tests-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    data = folder / "clinic.db"
    make_database(str(data), name, "Europe/Dublin")
    store = open_database(str(data))
    fill(store)
    for role in ROLES:
        make_account(store, role, role, "T1" if role == "therapist" else "", actor="test")
    store.close()
    return data


def store_in(folder: Path) -> Store:
    """The clinic's database in the folder."""
    return open_database(shutil.copyfile(_made(), folder / "clinic.db").as_posix())


def app_in(
    folder: Path, solve: Callable[..., Plan] | None = None, clock: Clock | None = None
) -> tuple[FastAPI, Planning]:
    store = store_in(folder)
    planning = Planning(store, solve) if solve is not None else Planning(store)
    return create_app(Settings.found(), store, planning=planning, clock=clock), planning


def store_of(app: FastAPI) -> Store:
    return cast("Parts", app.state.parts).store


def session_of(app: FastAPI, role: Role = "desk") -> str:
    """The token of a session of the role's account."""
    parts = cast("Parts", app.state.parts)
    return parts.signing_in.use_address(new_sign_in_address(parts.store, role, actor="test"))


def client_of(app: FastAPI, role: Role | None = "desk", **more: Any) -> TestClient:
    """A browser that is signed in with the role; with None, one that is not."""
    cookies = {} if role is None else {COOKIE: session_of(app, role)}
    return TestClient(app, base_url="http://127.0.0.1", cookies=cookies, **more)


def plan_at_once(
    day: Day, *, seconds: float, on_progress: ProgressCallback | None, should_stop: StopRequest | None
) -> Plan:
    """A search in name only: a right plan, Ann five minutes later, told of once and handed in."""
    plan = a_clinic_plan(day, ann_at="09:05")
    if on_progress is not None:
        on_progress(Progress(seconds=0.0, plan=plan, aim="wish", scores=plan.scores, bounds=plan.bounds))
    return plan


def plan_for_all(
    day: Day, *, seconds: float, on_progress: ProgressCallback | None, should_stop: StopRequest | None
) -> Plan:
    """The same, and Dee, who had no room, comes in."""
    ledger = ledger_of(day, a_clinic_plan(day, ann_at="09:05"))
    fill(ledger)
    return plan_of(day, ledger.visits, ledger.breaks)


def plan_with_bays_traded(
    day: Day, *, seconds: float, on_progress: ProgressCallback | None, should_stop: StopRequest | None
) -> Plan:
    """A search that hands in the day’s own plan, but with two bays of the front under each other’s name."""
    return bays_traded(a_clinic_plan(day))


def bays_traded(plan: Plan) -> Plan:
    """The plan with the two bays of the front, which are alike, under each other’s name."""
    traded = {"F1": "F2", "F2": "F1"}
    return replace(plan, visits=with_parts(plan.visits, lambda part: replace(part, bay=traded.get(part.bay, part.bay))))


def plan_deaf(
    day: Day, *, seconds: float, on_progress: ProgressCallback | None, should_stop: StopRequest | None
) -> Plan:
    """A search that tells of a plan and then never ends nor listens."""
    plan_at_once(day, seconds=seconds, on_progress=on_progress, should_stop=should_stop)
    time.sleep(60)
    raise AssertionError("nobody waits this long")


def plan_dies(
    day: Day, *, seconds: float, on_progress: ProgressCallback | None, should_stop: StopRequest | None
) -> Plan:
    """A search whose process ends at once, as if killed from outside."""
    os._exit(7)


def plan_breaks(
    day: Day, *, seconds: float, on_progress: ProgressCallback | None, should_stop: StopRequest | None
) -> Plan:
    """A search with a fault in it."""
    raise ValueError("no such\nthing")
