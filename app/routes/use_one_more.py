"""One more, or one less, of something: ask for the comparison, follow it, cancel it, take its tables as CSV."""

import datetime
from collections.abc import Mapping
from typing import cast

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import RedirectResponse, Response

from app.routes.csv_out import csv_file, table_csv
from app.routes.faults import by_field
from app.routes.forms import Form
from app.routes.pages import page
from app.routes.parts import parts_of
from app.services.use.one_more import MOST_SECONDS, Asking, Span
from app.typed import date_of, whole
from app.views.dates import spoken
from app.views.openings_words import short_date
from app.views.use.away import Day, away_table, sentences
from app.views.use.one_more import COLUMNS, at_most, day_table, kind_boxes, rows
from app.views.use.running import running
from app.views.use.tables import Table
from solver.errors import Fault, InputError
from solver.variants import KINDS

ADDRESS = "/use/one-more"
SECONDS = 5
SPANS: Mapping[Span, str] = {
    "day": "that day",
    "five": "Monday to Friday of its week",
    "six": "Monday to Saturday of its week",
}
router = APIRouter(prefix=ADDRESS)
_METHODS = ["GET", "HEAD"]


@router.api_route("", methods=_METHODS)
def show(request: Request) -> Response:
    """With what was asked for last; the next day with visits where nothing was."""
    parts = parts_of(request)
    current = parts.one_more.current()
    if current is not None:
        return _page(request, 200, current.date.isoformat(), current.span, str(current.seconds), current.kinds, {})
    day = parts.one_more.suggested(parts.clock().date()).isoformat()
    return _page(request, 200, day, "day", str(SECONDS), ("channel",), {})


@router.post("")
def compare(request: Request, form: Form) -> Response:
    """422, with the form as it was filled in, where a field is wrong or nothing can be compared."""
    day, span, seconds_typed = form["day"][:20], form["span"], form["seconds"][:20]
    date, seconds = date_of(day), whole(seconds_typed)
    kinds = tuple(kind for kind in KINDS if kind in form.all("kinds"))
    faults = []
    if date is None:
        faults.append(Fault("day", "that is no date", "give one such as 2026-03-02"))
    if span not in SPANS:
        faults.append(Fault("span", "that is none of them", f"choose {', '.join(SPANS.values())}"))
    if seconds is None or not 1 <= seconds <= MOST_SECONDS:
        faults.append(Fault("seconds", "that is no such time", f"give whole seconds from 1 to {MOST_SECONDS}"))
    if not kinds:
        faults.append(Fault("kinds", "nothing is chosen", "choose at least one"))
    try:
        if date is None or seconds is None or faults:
            raise InputError(faults)
        parts_of(request).one_more.start(date, cast("Span", span), kinds, seconds)
    except InputError as error:
        return _page(request, 422, day, span, seconds_typed, kinds, by_field(error))
    return RedirectResponse(ADDRESS, 303)


@router.post("/cancel")
def cancel(request: Request) -> Response:
    """Keep what was compared. Also right where nothing runs any more."""
    parts_of(request).one_more.cancel()
    return RedirectResponse(ADDRESS, 303)


@router.api_route("/csv/{table}", methods=_METHODS)
def table_as_csv(request: Request, table: str) -> Response:
    """404 where nothing was compared."""
    current = parts_of(request).one_more.current()
    if current is None or table not in ("gains", "days", "away"):
        raise HTTPException(404)
    name = f"one-more-{table}-{'-'.join(dict.fromkeys(str(date) for date in _ends(current)))}"
    days, names = _days(request, current), parts_of(request).use.names()
    if table == "gains":
        found = rows([day.comparison for day in days], names)
        return csv_file(name, COLUMNS, (row.cells for row in found))
    return table_csv(name, _day_table(request, days) if table == "days" else away_table(days, names))


def _ends(current: Asking) -> tuple[datetime.date, datetime.date]:
    """The first day and the last."""
    return min(current.days), max(current.days)


def _days(request: Request, current: Asking) -> tuple[Day, ...]:
    """The days that were compared, with their patients' names as they are now."""
    found = []
    for each in current.found:
        if each.comparison is not None:
            day = parts_of(request).days.shown(each.date).day
            patients = {} if day is None else {visit.id: visit.patient for visit in day.visits}
            found.append(Day(short_date(each.date), each.comparison, patients))
    return tuple(found)


def _day_table(request: Request, days: tuple[Day, ...]) -> Table:
    return day_table(((day.name, day.comparison) for day in days), parts_of(request).use.names())


def _page(
    request: Request,
    status: int,
    day: str,
    span: str,
    seconds: str,
    kinds: tuple[str, ...],
    faults: dict[str, str],
) -> Response:
    parts = parts_of(request)
    current = parts.one_more.current()
    names = parts.use.names()
    followed, title, message, changed = None, "", "", False
    days: tuple[Day, ...] = ()
    if current is not None:
        title = " to ".join(dict.fromkeys(spoken(date) for date in _ends(current)))
        changed = any(parts.days.shown(date).version != version for date, version in current.days.items())
        message, days = current.message, _days(request, current)
        if not current.ended:
            followed = running(current.done, current.of, cancelling=current.cancelling)
    found = rows([each.comparison for each in days], names)
    return page(
        request,
        "use_one_more",
        "Use",
        status,
        day=day,
        span=span,
        spans=tuple(SPANS.items()),
        seconds=seconds,
        most=MOST_SECONDS,
        kinds=kind_boxes(kinds),
        faults=faults,
        title=title,
        time="" if current is None else f"{current.seconds} s for each search, {at_most(current.of, current.seconds)}.",
        message=message,
        changed=changed,
        running=followed,
        unplanned=() if current is None else tuple((spoken(each.date), each.why) for each in current.found if each.why),
        several=len(days) > 1,
        rows=found,
        by_day=_day_table(request, days),
        away=away_table(days, names),
        from_kept=current is not None and all(each.from_kept for each in current.found),
        sentences=sentences(days, names),
    )
