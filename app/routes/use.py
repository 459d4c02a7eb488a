"""The Use room: a range of days in figures, pictures and tables; each table as CSV; a month to print."""

import calendar
import datetime

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import Response

from app.routes.csv_out import table_csv
from app.routes.faults import as_lines
from app.routes.pages import page
from app.routes.parts import parts_of
from app.typed import date_of
from app.views.dates import week_of
from app.views.use.actual import Record
from app.views.use.page import Choice, UsePage, use_page
from solver.errors import Fault, InputError

router = APIRouter(prefix="/use")
MOST_DAYS = 800
_METHODS = ["GET", "HEAD"]


@router.api_route("", methods=_METHODS)
def show_use(request: Request) -> Response:
    """Without ``from`` and ``to``: this week. 422, with what was typed and the figures of this week, where a date is
    wrong."""
    typed = request.query_params.get("from", "")[:20], request.query_params.get("to", "")[:20]
    try:
        first, last = _asked(request)
    except InputError as error:
        this_week = _view(request, *week_of(parts_of(request).clock().date()))
        return page(request, "use", "Use", 422, page=this_week, printing=False, typed=typed, faults=as_lines(error))
    typed = first.isoformat(), last.isoformat()
    return page(request, "use", "Use", page=_view(request, first, last), printing=False, typed=typed, faults=())


@router.api_route("/month/{month}", methods=_METHODS)
def show_month(request: Request, month: str) -> Response:
    """A month with its tables open, to print: all but those whose every number stands in a picture."""
    first = date_of(f"{month}-01")
    if first is None:
        raise HTTPException(404)
    last = first.replace(day=calendar.monthrange(first.year, first.month)[1])
    return page(request, "use", "Use", page=_view(request, first, last), printing=True, typed=("", ""), faults=())


@router.api_route("/csv/{table}", methods=_METHODS)
def table_as_csv(request: Request, table: str) -> Response:
    first, last = _asked(request)
    return table_csv(f"use-{table}-{first}-{last}", _view(request, first, last).tables.get(table))


def _view(request: Request, first: datetime.date, last: datetime.date) -> UsePage:
    parts = parts_of(request)
    today = parts.clock().date()
    found = parts.use.range(first, last, today)
    return use_page(
        first,
        last,
        _choices(today, first, last),
        found.whole,
        found.weekdays,
        found.weeks,
        found.uncounted,
        parts.use.names(),
        Record(found.recorded, found.recorded_weekdays, found.recorded_whole),
    )


def _asked(request: Request) -> tuple[datetime.date, datetime.date]:
    """Raises InputError where the dates are none, or are not in their order."""
    given_first, given_last = request.query_params.get("from"), request.query_params.get("to")
    if given_first is None and given_last is None:
        return week_of(parts_of(request).clock().date())
    first, last = date_of(given_first or ""), date_of(given_last or "")
    if first is None or last is None:
        raise InputError([Fault("from, to", "one of them is no date", "give two dates such as 2026-03-02")])
    if last < first:
        raise InputError([Fault("to", f"{last} is before {first}", "give a last date that is not before the first")])
    if (last - first).days >= MOST_DAYS:
        raise InputError([Fault("to", "that is more than two years", f"give at most {MOST_DAYS} days")])
    return first, last


def _choices(today: datetime.date, first: datetime.date, last: datetime.date) -> tuple[Choice, ...]:
    month = today.replace(day=1), today.replace(day=calendar.monthrange(today.year, today.month)[1])
    monday, sunday = week_of(today)
    ranges = {
        "This week": (monday, sunday),
        "This month": month,
        "Last 4 weeks": (monday - datetime.timedelta(days=28), monday - datetime.timedelta(days=1)),
        "Last 12 months": (today - datetime.timedelta(days=364), today),
    }
    return tuple(
        Choice(name, f"/use?from={start}&to={end}", (start, end) == (first, last))
        for name, (start, end) in ranges.items()
    )
