"""Upkeep: its figures, what was noted, noting more, taking back; its tables as CSV."""

from collections.abc import Mapping

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response

from app.routes.access import signed_in
from app.routes.csv_out import table_csv
from app.routes.faults import by_field
from app.routes.forms import Form
from app.routes.pages import page
from app.routes.parts import parts_of
from app.routes.row_ids import RowId
from app.routes.upkeep_due import lines_of
from app.services.upkeep.noting import UpkeepForm, note_upkeep, take_back_upkeep
from app.services.upkeep.records import UPKEEP_KINDS, Noted, Thing
from app.services.use.upkeep import Kept, Run, UpkeepFigures, upkeep_figures
from app.views.upkeep import written
from app.views.use.upkeep import (
    KeptView,
    RecordLine,
    RunView,
    UpkeepPage,
    battery_line,
    done_view,
    run_view,
    upkeep_tables,
)
from solver.errors import InputError

ADDRESS = "/use/upkeep"
MOST_LINES = 100
router = APIRouter(prefix=ADDRESS)
_METHODS = ["GET", "HEAD"]
_FIELDS = ("thing", "kind", "done", "due", "note")


@router.api_route("", methods=_METHODS)
def show(request: Request) -> Response:
    return _page(request, UpkeepForm())


@router.post("")
def note(request: Request, form: Form) -> Response:
    """422, with the form as it was filled in, where something of it is wrong."""
    given = UpkeepForm(**{name: form[name] for name in _FIELDS})
    parts = parts_of(request)
    try:
        note_upkeep(parts.store, given, actor=signed_in(request).name, today=parts.clock().date())
    except InputError as error:
        return _page(request, given, 422, by_field(error))
    return RedirectResponse(f"{ADDRESS}#record", 303)


@router.post("/{id}/back")
def take_back(request: Request, id: RowId) -> Response:
    """422 where it was taken back before."""
    try:
        take_back_upkeep(parts_of(request).store, id, actor=signed_in(request).name)
    except InputError as error:
        return _page(request, UpkeepForm(), 422, by_field(error))
    return RedirectResponse(f"{ADDRESS}#record", 303)


@router.api_route("/csv/{table}", methods=_METHODS)
def table_as_csv(request: Request, table: str) -> Response:
    return table_csv(f"upkeep-{table}-{parts_of(request).clock().date()}", _view(request).tables.get(table))


def _page(request: Request, form: UpkeepForm, status: int = 200, faults: dict[str, str] | None = None) -> Response:
    return page(
        request,
        "use_upkeep",
        "Use",
        status,
        page=_view(request),
        form=form,
        faults=faults or {},
        kinds=[(kind, kind) for kind in UPKEEP_KINDS],
        today=parts_of(request).clock().date().isoformat(),
    )


def _view(request: Request) -> UpkeepPage:
    parts = parts_of(request)
    figures = upkeep_figures(parts.store, parts.use, parts.clock().date())
    units = tuple(_kept(one, figures) for one in figures.kept if one.thing.of == "unit")
    items = tuple(_kept(one, figures) for one in figures.kept if one.thing.of == "item")
    channels = tuple(
        (f"{one.name}, {channel}", _run(run)) for one in figures.kept for channel, run in one.channels.items()
    )
    batteries = tuple(
        battery_line(one.unit, one.name, one.observed, one.capacity_wh, one.reserve_pct) for one in figures.batteries
    )
    record = figures.noted[::-1]
    retired = {Thing("unit", code): name for code, name in parts.use.names()["units"].items()}
    names = retired | dict(figures.names)
    return UpkeepPage(
        first=written(figures.first),
        uncounted=figures.uncounted,
        due=lines_of(figures.due),
        units=units,
        channels=channels,
        items=items,
        batteries=batteries,
        record=tuple(_line(one, names) for one in record[:MOST_LINES]),
        more=max(0, len(record) - MOST_LINES),
        things=tuple((f"{thing.of}:{thing.code}", name) for thing, name in figures.names.items()),
        tables=upkeep_tables(UPKEEP_KINDS, units, channels, items, batteries),
    )


def _kept(one: Kept, figures: UpkeepFigures) -> KeptView:
    done = tuple(
        done_view(last.done_on, last.actor, last.due_on, figures.today) if last is not None else None
        for last in (one.last.get(kind) for kind in UPKEEP_KINDS)
    )
    return KeptView(one.name, done, _run(one.run))


def _run(run: Run) -> RunView:
    return run_view((run.recorded_min, run.recorded_days), (run.planned_min, run.planned_days), run.since)


def _line(one: Noted, names: Mapping[Thing, str]) -> RecordLine:
    return RecordLine(
        done=written(one.done_on),
        what=f"{names.get(one.thing, one.thing.code)}: {one.kind}",
        due="" if one.due_on is None else written(one.due_on),
        note=one.note,
        by=one.actor,
        back="" if one.taken_back else f"{ADDRESS}/{one.id}/back",
    )
