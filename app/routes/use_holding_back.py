"""What holds us back: ask for a range, follow it, cancel it, take its tables as CSV."""

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import RedirectResponse, Response

from app.routes.csv_out import csv_file
from app.routes.faults import by_field
from app.routes.forms import Form
from app.routes.pages import page
from app.routes.parts import parts_of
from app.services.use.holding_back import MOST_DAYS, Looked
from app.typed import date_of
from app.views.dates import spoken, week_of
from app.views.use.holding_back import (
    COLUMNS,
    DAY_COLUMNS,
    DayLine,
    Line,
    day_cells,
    day_line,
    line_cells,
    lines,
    numbers,
)
from app.views.use.running import running
from solver.errors import Fault, InputError
from solver.holding_back import added_up

ADDRESS = "/use/holding-back"
router = APIRouter(prefix=ADDRESS)
_METHODS = ["GET", "HEAD"]


@router.api_route("", methods=_METHODS)
def show(request: Request) -> Response:
    """With the dates of the last range; of this week where there is none."""
    current = parts_of(request).holding_back.current()
    if current is not None:
        return _page(request, 200, current.first.isoformat(), current.last.isoformat(), {})
    first, last = week_of(parts_of(request).clock().date())
    return _page(request, 200, first.isoformat(), last.isoformat(), {})


@router.post("")
def look(request: Request, form: Form) -> Response:
    """422, with the form as it was filled in, where a date is wrong or there is nothing to look at."""
    given = form["first"][:20], form["last"][:20]
    first, last = map(date_of, given)
    right = "give one such as 2026-03-02"
    faults = [
        Fault(name, "that is no date", right) for name, date in (("first", first), ("last", last)) if date is None
    ]
    try:
        if first is None or last is None:
            raise InputError(faults)
        parts_of(request).holding_back.start(first, last)
    except InputError as error:
        return _page(request, 422, *given, by_field(error))
    return RedirectResponse(ADDRESS, 303)


@router.post("/cancel")
def cancel(request: Request) -> Response:
    """Keep the days that were looked at. Also right where nothing runs any more."""
    parts_of(request).holding_back.cancel()
    return RedirectResponse(ADDRESS, 303)


@router.api_route("/csv/{table}", methods=_METHODS)
def table_as_csv(request: Request, table: str) -> Response:
    """404 where no range was looked at."""
    current = parts_of(request).holding_back.current()
    if current is None or table not in ("list", "days"):
        raise HTTPException(404)
    name = f"holding-back-{table}-{current.first}-{current.last}"
    if table == "list":
        return csv_file(name, COLUMNS, line_cells(_lines(current)))
    return csv_file(name, DAY_COLUMNS, day_cells(_days(current)))


def _lines(current: Looked) -> tuple[Line, ...]:
    names = {pair: name for day in current.found for pair, name in day.names.items()}
    return lines(added_up(day.held for day in current.found), names)


def _days(current: Looked) -> tuple[DayLine, ...]:
    return tuple(day_line(day.date, day.held, day.names) for day in current.found)


def _page(request: Request, status: int, first: str, last: str, faults: dict[str, str]) -> Response:
    current = parts_of(request).holding_back.current()
    followed, title, changed = None, "", False
    if current is not None:
        title = " to ".join(dict.fromkeys((spoken(current.first), spoken(current.last))))
        changed = parts_of(request).holding_back.changed(current)
        if not current.ended:
            followed = running(current.done, current.of, cancelling=current.cancelling)
    found = current is not None and bool(current.found)
    return page(
        request,
        "use_holding_back",
        "Use",
        status,
        first=first,
        last=last,
        most=MOST_DAYS,
        faults=faults,
        title=title,
        message="" if current is None else current.message,
        running=followed,
        changed=changed,
        numbers=numbers(added_up(day.held for day in current.found)) if current is not None and found else (),
        lines=() if current is None else _lines(current),
        days=() if current is None else _days(current),
    )
