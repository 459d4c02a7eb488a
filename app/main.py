"""The web app: put together from its settings and the clinic's database."""

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from datetime import datetime
from typing import cast
from zoneinfo import ZoneInfo

from fastapi import Depends, FastAPI
from fastapi.staticfiles import StaticFiles

from app.clock import Clock
from app.db.store import Store
from app.guards import Guards
from app.routes import (
    accounts,
    audit,
    csv_in,
    day,
    feeds,
    floor,
    floor_handover,
    floor_late,
    floor_visit,
    openings,
    openings_booking,
    openings_course,
    patients,
    proposal,
    set_up,
    set_up_progress,
    set_up_things,
    signing_in,
    treatments,
    use,
    use_capacity,
    use_holding_back,
    use_one_more,
    use_robust,
    use_upkeep,
    visit,
    waiting,
)
from app.routes import planning as planning_again
from app.routes.access import admit
from app.routes.parts import Parts
from app.routes.refusals import add_refusals
from app.services.clinic_named import NamedClinic
from app.services.day_room import DayRoom
from app.services.floor.late import LateRoom
from app.services.floor.room import FloorRoom
from app.services.news import News
from app.services.openings.ready import ReadyDays
from app.services.planning import Planning
from app.services.setup.checking import Checking
from app.services.signing_in import SigningIn
from app.services.use.holding_back import HoldingBackRoom
from app.services.use.one_more import Compare, OneMoreRoom
from app.services.use.robust import RobustRoom
from app.services.use.room import UseRoom
from app.settings import Settings
from app.templating import environment

ROUTERS = (
    *(
        signing_in,
        day,
        planning_again,
        floor,
        floor_late,
        floor_visit,
        floor_handover,
        openings,
        openings_booking,
        openings_course,
    ),
    *(visit, waiting, feeds, proposal, patients, treatments),
    *(csv_in, set_up_progress, set_up, set_up_things, accounts, audit, use, use_one_more, use_holding_back),
    *(use_robust, use_upkeep, use_capacity),
)


def create_app(
    settings: Settings,
    store: Store,
    *,
    planning: Planning | None = None,
    compare: Compare | None = None,
    clock: Clock | None = None,
) -> FastAPI:
    """The app of one clinic. ``planning``, ``compare`` and ``clock``: a test's, for real searches and time."""
    clinic = NamedClinic(store)

    def clinic_clock() -> datetime:
        return datetime.now(ZoneInfo(clinic.known.time_zone)).replace(tzinfo=None)

    @asynccontextmanager
    async def lifespan(app: FastAPI) -> AsyncIterator[None]:
        yield
        await close_app(app)

    app = FastAPI(docs_url=None, redoc_url=None, openapi_url=None, lifespan=lifespan, dependencies=[Depends(admit)])
    days = DayRoom(store)
    floor_room = FloorRoom(store, days)
    app.state.parts = Parts(
        settings=settings,
        store=store,
        clinic=clinic,
        days=days,
        floor=floor_room,
        late=LateRoom(store, floor_room),
        ready=ReadyDays(store),
        planning=planning or Planning(store),
        checking=Checking(),
        news=News(store),
        use=UseRoom(store),
        one_more=OneMoreRoom(store, compare),
        holding_back=HoldingBackRoom(store),
        robust=RobustRoom(store),
        signing_in=SigningIn(store),
        templates=environment(settings.templates),
        clock=clock or clinic_clock,
    )
    app.mount("/static", StaticFiles(directory=settings.static), name="static")
    for room in ROUTERS:
        app.include_router(room.router)
    add_refusals(app)
    app.add_middleware(Guards, hosts=settings.hosts, secure=settings.secure)
    return app


async def close_app(app: FastAPI) -> None:
    """End the streams, and the searches with what they found."""
    parts = cast("Parts", app.state.parts)
    await parts.news.close()
    await asyncio.to_thread(parts.planning.close)
    parts.late.close()
    await asyncio.to_thread(parts.use.close)
    await asyncio.to_thread(parts.one_more.close)
    await asyncio.to_thread(parts.holding_back.close)
    await asyncio.to_thread(parts.robust.close)
