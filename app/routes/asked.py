"""What every route of a day needs from its request: the app's parts, the day shown, the reader's choices."""

from dataclasses import dataclass
from datetime import date
from typing import Annotated, cast

from fastapi import Depends, HTTPException, Request
from jinja2 import Environment

from app.clock import Clock
from app.services.day_files import DayFiles, Shown
from app.services.planning import Planning
from app.settings import Settings
from app.views.choices import Choices, choices
from app.views.parts import Planned


@dataclass(frozen=True, slots=True, kw_only=True)
class Parts:
    """What the routes reach through ``request.app.state.parts``."""

    settings: Settings
    files: DayFiles
    planning: Planning
    templates: Environment
    clock: Clock


@dataclass(frozen=True, slots=True)
class Asked:
    """A request for a day that there is."""

    parts: Parts
    shown: Shown
    choices: Choices
    by_htmx: bool

    @property
    def planned(self) -> Planned:
        return Planned(self.shown.day, self.shown.plan)


def parts_of(request: Request) -> Parts:
    return cast("Parts", request.app.state.parts)


def asked(request: Request, day: str) -> Asked:
    """Raises 404 for a date that is none, or that there is no plan of."""
    parts = parts_of(request)
    try:
        shown = parts.files.shown(date.fromisoformat(day))
    except ValueError:
        shown = None
    if shown is None or shown.day.date.isoformat() != day:  # each day has one address
        raise HTTPException(404)
    return Asked(parts, shown, choices(request.query_params, shown.day), "hx-request" in request.headers)


AskedDay = Annotated[Asked, Depends(asked)]
