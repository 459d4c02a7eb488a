"""What every route of a day needs from its request: the date, the day shown, the reader's choices."""

import datetime
from dataclasses import dataclass
from functools import lru_cache
from typing import Annotated

from fastapi import Depends, HTTPException, Request

from app.routes.parts import Parts, parts_of
from app.services.day_room import Shown
from app.typed import date_of
from app.views.choices import Choices, choices
from app.views.parts import Planned
from solver.problem import Day


@dataclass(frozen=True, slots=True)
class Asked:
    """A request for a date that there is a day of."""

    request: Request
    parts: Parts
    shown: Shown
    day: Day
    planned: Planned
    choices: Choices


def asked_date(day: str) -> datetime.date:
    """Raises 404 for a date that is none; each has one address."""
    date = date_of(day)
    if date is None:
        raise HTTPException(404)
    return date


AskedDate = Annotated[datetime.date, Depends(asked_date)]


def asked(request: Request, date: AskedDate) -> Asked:
    """Raises 404 for a date that there is no day of."""
    parts = parts_of(request)
    shown = parts.days.shown(date)
    if shown.day is None:
        raise HTTPException(404)
    return asked_of(request, shown, shown.day)


def asked_of(request: Request, shown: Shown, day: Day) -> Asked:
    """``day``: that of ``shown``, where there is one."""
    return Asked(request, parts_of(request), shown, day, _planned(shown), choices(request.query_params, day))


@lru_cache(maxsize=12)
def _planned(shown: Shown) -> Planned:
    """The joins of a day that is shown, made once while it is."""
    assert shown.day is not None
    assert shown.plan is not None
    return Planned(shown.day, shown.plan)


AskedDay = Annotated[Asked, Depends(asked)]
