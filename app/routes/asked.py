"""What every route of a day needs from its request: the date, the day shown, the reader's choices."""

import datetime
from collections import OrderedDict
from dataclasses import dataclass
from threading import Lock
from typing import Annotated

from fastapi import Depends, HTTPException, Request

from app.routes.parts import Parts, parts_of
from app.services.day_room import Shown
from app.typed import date_of
from app.views.choices import Choices, choices
from app.views.parts import Planned
from solver.problem import Day
from solver.schedule import Plan


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
    if shown.day is None or shown.plan is None:
        raise HTTPException(404)
    return asked_of(request, shown, shown.day, shown.plan)


def asked_of(request: Request, shown: Shown, day: Day, plan: Plan) -> Asked:
    planned = _planned(shown, day, plan)
    return Asked(request, parts_of(request), shown, day, planned, choices(request.query_params, day))


@dataclass(frozen=True, slots=True)
class _Joined:
    shown: Shown
    planned: Planned


_JOINED: OrderedDict[int, _Joined] = OrderedDict()
_MOST_JOINED = 12
_LOCK = Lock()


def _planned(shown: Shown, day: Day, plan: Plan) -> Planned:
    """The joins of a day that is shown, made once while it is."""
    with _LOCK:
        known = _JOINED.get(id(shown))
        if known is None:
            known = _JOINED[id(shown)] = _Joined(shown, Planned(day, plan))
            if len(_JOINED) > _MOST_JOINED:
                _JOINED.popitem(last=False)
        return known.planned


AskedDay = Annotated[Asked, Depends(asked)]
