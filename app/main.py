"""The web app: put together from its settings, its day's files and its planning."""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from fastapi import FastAPI
from fastapi.responses import HTMLResponse
from fastapi.staticfiles import StaticFiles
from starlette.requests import Request
from starlette.responses import Response

from app.clock import Clock, wall_clock
from app.guards import Guards
from app.routes import day, planning
from app.routes.asked import Parts
from app.services.day_files import DayFiles
from app.services.planning import Planning
from app.settings import Settings
from app.templating import environment


def create_app(
    settings: Settings, files: DayFiles, searches: Planning | None = None, clock: Clock = wall_clock
) -> FastAPI:
    """The app that serves one day's files."""
    searches = searches or Planning(files)

    @asynccontextmanager
    async def lifespan(_: FastAPI) -> AsyncIterator[None]:
        yield
        searches.close()

    app = FastAPI(docs_url=None, redoc_url=None, openapi_url=None, lifespan=lifespan)
    templates = environment(settings.templates)
    app.state.parts = Parts(settings=settings, files=files, planning=searches, templates=templates, clock=clock)
    app.mount("/static", StaticFiles(directory=settings.static), name="static")
    app.include_router(day.router)
    app.include_router(planning.router)

    @app.exception_handler(404)
    def missing(request: Request, error: Exception) -> Response:
        known = files.date
        page = templates.get_template("pages/missing.html")
        return HTMLResponse(page.render(known=known.isoformat() if known else ""), 404)

    app.add_middleware(Guards, hosts=settings.hosts)
    return app
