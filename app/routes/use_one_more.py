"""One more, or one less, of something: ask for the comparison, follow it, cancel it."""

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response

from app.routes.faults import by_field
from app.routes.forms import Form
from app.routes.pages import page
from app.routes.parts import parts_of
from app.services.use.one_more import MOST_SECONDS
from app.typed import date_of, whole
from app.views.dates import spoken
from app.views.use.one_more import Row, Running, kind_boxes, rows
from solver.errors import Fault, InputError
from solver.variants import KINDS

ADDRESS = "/use/one-more"
SECONDS = 5
router = APIRouter(prefix=ADDRESS)


@router.api_route("", methods=["GET", "HEAD"])
def show(request: Request) -> Response:
    parts = parts_of(request)
    day = parts.one_more.suggested(parts.clock().date()).isoformat()
    return _page(request, 200, day, str(SECONDS), ("channel",), {})


@router.post("")
def compare(request: Request, form: Form) -> Response:
    """422, with the form as it was filled in, where a field is wrong or nothing can be compared."""
    given = form["day"][:20], form["seconds"][:20]
    date, seconds = date_of(given[0]), whole(given[1])
    kinds = tuple(kind for kind in KINDS if kind in form.all("kinds"))
    faults = []
    if date is None:
        faults.append(Fault("day", "that is no date", "give one such as 2026-03-02"))
    if seconds is None or not 1 <= seconds <= MOST_SECONDS:
        faults.append(Fault("seconds", "that is no such time", f"give whole seconds from 1 to {MOST_SECONDS}"))
    if not kinds:
        faults.append(Fault("kinds", "nothing is chosen", "choose at least one"))
    try:
        if date is None or seconds is None or faults:
            raise InputError(faults)
        parts_of(request).one_more.start(date, kinds, seconds)
    except InputError as error:
        return _page(request, 422, *given, kinds, by_field(error))
    return RedirectResponse(ADDRESS, 303)


@router.post("/cancel")
def cancel(request: Request) -> Response:
    """Keep what was compared. Also right where nothing runs any more."""
    parts_of(request).one_more.cancel()
    return RedirectResponse(ADDRESS, 303)


def _page(
    request: Request, status: int, day: str, seconds: str, kinds: tuple[str, ...], faults: dict[str, str]
) -> Response:
    parts = parts_of(request)
    current = parts.one_more.current()
    found: tuple[Row, ...] = ()
    running, title, message = None, "", ""
    if current is not None:
        title, message = f"{spoken(current.date)}, {current.seconds} s for each", current.message
        if not current.ended:
            running = Running(current.done, current.of, 100 * current.done // current.of, current.cancelling)
        found = rows(current.found, parts.use.names()) if current.found else ()
    return page(
        request,
        "use_one_more",
        "Use",
        status,
        day=day,
        seconds=seconds,
        most=MOST_SECONDS,
        kinds=kind_boxes(kinds),
        faults=faults,
        title=title,
        message=message,
        running=running,
        rows=found,
    )
