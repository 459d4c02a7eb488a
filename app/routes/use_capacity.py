"""Capacity: demand against what is free in the coming weeks, and which hours to open; its tables as CSV."""

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.routes.csv_out import table_csv
from app.routes.faults import as_lines
from app.routes.pages import page
from app.routes.parts import parts_of
from app.services.use.capacity import MOST_WEEKS, WEEKS, Capacity, Resource, Treated, Week, capacity
from app.services.use.demand import SOURCES
from app.services.use.hours_to_open import OPEN, HourToOpen, hours_to_open
from app.typed import whole
from app.views.dates import spoken
from app.views.use.capacity import (
    CapacityPage,
    ResourceView,
    all_weeks,
    first_full,
    hours_table,
    resource_view,
    treatments_table,
)
from solver.clock import Interval
from solver.errors import Fault, InputError

ADDRESS = "/use/capacity"
MOST_HOURS = 20
router = APIRouter(prefix=ADDRESS)
_METHODS = ["GET", "HEAD"]


@router.api_route("", methods=_METHODS)
def show(request: Request) -> Response:
    """``weeks``: how many, from tomorrow on; 422, with what was typed and as many as without it, where it is none.

    ``tables``: ``open`` for every table, to print.
    """
    printing = request.query_params.get("tables") == "open"
    typed = request.query_params.get("weeks", str(WEEKS))[:20]
    try:
        weeks = _weeks(request)
    except InputError as error:
        usual, faults = _view(request, WEEKS), as_lines(error)
        return page(request, "use_capacity", "Use", 422, page=usual, printing=printing, typed=typed, faults=faults)
    return page(request, "use_capacity", "Use", page=_view(request, weeks), printing=printing, typed=typed, faults=())


@router.api_route("/csv/{table}", methods=_METHODS)
def table_as_csv(request: Request, table: str) -> Response:
    found = _view(request, _weeks(request)).tables.get(table)
    return table_csv(f"capacity-{table}-{parts_of(request).clock().date()}", found)


def _weeks(request: Request) -> int:
    """Raises InputError where the number of weeks is none."""
    given = request.query_params.get("weeks", str(WEEKS))
    weeks = whole(given, digits=3)
    if weeks is None or not 1 <= weeks <= MOST_WEEKS:
        what = f"{given[:20]!r} is no number of weeks"
        raise InputError([Fault("weeks", what, f"give a whole number from 1 to {MOST_WEEKS}")])
    return weeks


def _view(request: Request, weeks: int) -> CapacityPage:
    parts = parts_of(request)
    return _page(capacity(parts.store, parts.clock().date(), weeks), weeks)


def _page(found: Capacity, weeks: int) -> CapacityPage:
    resources = tuple(_resource(number, one) for number, one in enumerate(found.resources))
    hours = [_hour(one) for one in hours_to_open(found)]
    treatments = treatments_table([one.name for one in found.resources], [_treated(one) for one in found.treatments])
    every_hour = hours_table(hours)
    return CapacityPage(
        title=f"{spoken(found.first)} to {spoken(found.last)}",
        weeks=weeks,
        most_weeks=MOST_WEEKS,
        query=f"weeks={weeks}",
        full=first_full([(one.name, one.full) for one in found.resources]),
        resources=resources,
        hours=hours_table(hours[:MOST_HOURS]),
        more_hours=max(0, len(hours) - MOST_HOURS),
        treatments=treatments,
        tables={"weeks": all_weeks(resources), "hours": every_hour, "treatments": treatments},
    )


def _resource(number: int, one: Resource) -> ResourceView:
    return resource_view(number, one.name, [(week.first, _cells(week)) for week in one.weeks], one.full)


def _cells(week: Week) -> tuple[int, ...]:
    return (
        week.there_min,
        week.there_min - week.free_min,
        week.free_min,
        *(week.asked_min[source] for source in SOURCES),
        week.demand_min,
        week.over_min,
        week.left_min,
    )


def _hour(one: HourToOpen) -> tuple[int, Interval, str, tuple[int, ...]]:
    what = "open it" if one.what == OPEN else f"one more of {one.what}"
    return one.weekday, one.block, what, (one.adds_min, one.unmet_min, one.wanted_min, one.takes_min)


def _treated(one: Treated) -> tuple[str, tuple[int, ...], dict[str, int]]:
    counts = (*(one.sessions[source] for source in SOURCES), one.later)
    return one.name, counts, dict(one.need)
