"""How robust a plan is: ask for it to be tried out, follow it, cancel it, take its tables as CSV."""

from collections.abc import Mapping

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import RedirectResponse, Response

from app.routes.csv_out import table_csv
from app.routes.faults import by_field
from app.routes.forms import Form
from app.routes.pages import page
from app.routes.parts import parts_of
from app.services.use.robust import MOST_RUNS, MOST_SEED, Tried, settings_of
from app.typed import date_of, whole
from app.views.dates import spoken
from app.views.use import robust
from app.views.use.robust_form import as_typed, settings
from app.views.use.running import running
from solver.errors import Fault, InputError
from solver.simulation import Settings

ADDRESS = "/use/robust"
RUNS, SEED = 1_000, 0
router = APIRouter(prefix=ADDRESS)
_METHODS = ["GET", "HEAD"]


@router.api_route("", methods=_METHODS)
def show(request: Request) -> Response:
    """With what was asked for last; the next planned day and the published figures where nothing was."""
    parts = parts_of(request)
    current = parts.robust.current()
    if current is not None:
        given = {"day": current.date.isoformat(), "runs": str(current.runs), "seed": str(current.seed)}
        return _page(request, 200, given | as_typed(current.settings), {})
    day = parts.robust.suggested(parts.clock().date()).isoformat()
    return _page(request, 200, {"day": day, "runs": str(RUNS), "seed": str(SEED)} | as_typed(Settings()), {})


@router.post("")
def try_out(request: Request, form: Form) -> Response:
    """422, with the form as it was filled in, where a field is wrong or nothing can be tried out."""
    given = {name: form[name][:20] for name in ("day", "runs", "seed", *as_typed(Settings()))}
    date, runs, seed = date_of(given["day"]), whole(given["runs"]), whole(given["seed"], 10)
    faults = []
    if date is None:
        faults.append(Fault("day", "that is no date", "give one such as 2026-03-02"))
    if runs is None or not 1 <= runs <= MOST_RUNS:
        faults.append(Fault("runs", "that is no such number", f"give a whole number from 1 to {MOST_RUNS}"))
    if seed is None or seed > MOST_SEED:
        faults.append(Fault("seed", "that is no such number", f"give a whole number from 0 to {MOST_SEED}"))
    chosen = None
    try:
        chosen = settings_of(given)
    except InputError as error:
        faults += error.faults
    try:
        if date is None or runs is None or seed is None or chosen is None or faults:
            raise InputError(faults)
        parts_of(request).robust.start(date, chosen, runs, seed)
    except InputError as error:
        return _page(request, 422, given, by_field(error))
    return RedirectResponse(ADDRESS, 303)


@router.post("/cancel")
def cancel(request: Request) -> Response:
    """Keep what was found. Also right where nothing runs any more."""
    parts_of(request).robust.cancel()
    return RedirectResponse(ADDRESS, 303)


@router.api_route("/csv/{table}", methods=_METHODS)
def table_as_csv(request: Request, table: str) -> Response:
    """404 where nothing was tried out."""
    current = parts_of(request).robust.current()
    shown = None if current is None else _shown(request, current)
    if current is None or shown is None:
        raise HTTPException(404)
    return table_csv(f"robust-{table}-{current.date}-seed-{shown.seed}", shown.tables.get(table))


def _shown(request: Request, current: Tried) -> robust.Tried | None:
    """What was found, with the patients' names as they are now; None before anything was."""
    if current.found is None:
        return None
    day = parts_of(request).days.shown(current.date).day
    patients = {} if day is None else {visit.id: visit.patient for visit in day.visits}
    return robust.tried(current.found, robust.Names(patients, current.day, current.starts))


def _page(request: Request, status: int, given: Mapping[str, str], faults: Mapping[str, str]) -> Response:
    parts = parts_of(request)
    current = parts.robust.current()
    followed, title, changed = None, "", False
    if current is not None:
        title = spoken(current.date)
        changed = parts.days.shown(current.date).version != current.version
        if not current.ended:
            followed = running(current.done, current.of, cancelling=current.cancelling)
    return page(
        request,
        "use_robust",
        "Use",
        status,
        given=given,
        settings=settings(given, faults),
        most=MOST_RUNS,
        faults=faults,
        title=title,
        date="" if current is None else current.date.isoformat(),
        changed=changed,
        message="" if current is None else current.message,
        running=followed,
        tried=None if current is None else _shown(request, current),
    )
