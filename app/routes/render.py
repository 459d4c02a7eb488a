"""From what was asked to the views that templates read, and to HTML."""

from dataclasses import replace
from functools import lru_cache

from fastapi.responses import HTMLResponse

from app.clock import minute_of
from app.routes.access import may, signed_in
from app.routes.asked import Asked
from app.routes.pages import fragment, page
from app.routes.upkeep_due import due_lines
from app.services.planning import MOST_SECONDS, Search
from app.services.visits.about import visit_ids
from app.views.choices import Choices
from app.views.dates import dates_around
from app.views.page import DayPage, PlanForm, day_page, plan_form
from app.views.parts import Planned
from app.views.summary import ProgressView, aim_lines, aiming_words

VIEWS_KEPT = 64


def progress_view(asked: Asked, search: Search | None) -> ProgressView | None:
    """How the running or last search stands; None where there was none."""
    if search is None:
        return None
    elapsed = search.elapsed(asked.parts.planning.time_now())
    return ProgressView(
        running=not search.ended,
        cancelling=search.cancelling,
        percent=min(100, int(100 * elapsed / search.limit)),
        seconds=int(elapsed),
        limit=search.limit,
        aiming=aiming_words(search.aim),
        aims=aim_lines(search.aims, search.scores, search.bounds),
        message=search.message,
        lines=search.lines,
        proposed=search.proposed,
    )


def form_view(asked: Asked, *, seconds: str = "", fault: str = "", faults: tuple[str, ...] = ()) -> PlanForm:
    """The form for planning again; without ``seconds`` it offers those of the settings."""
    return plan_form(
        asked.planned,
        asked.choices,
        may_plan=may(signed_in(asked.request), "POST /day/{day}/plan") and bool(asked.day.visits),
        seconds=seconds or str(asked.parts.settings.seconds),
        most=MOST_SECONDS,
        fault=fault,
        faults=faults,
        progress=progress_view(asked, asked.parts.planning.current(asked.shown.date)),
    )


@lru_cache(maxsize=VIEWS_KEPT)
def _view(planned: Planned, state: str, version: int, chosen: Choices, now: int | None) -> DayPage:
    """What does not depend on the reader: made once while it is asked for again."""
    return day_page(planned, state, version, chosen, now)


def page_response(asked: Asked, form: PlanForm, status: int = 200) -> HTMLResponse:
    """The whole Day page."""
    shown, clock = asked.shown, asked.parts.clock
    view = _view(asked.planned, shown.state, shown.version, asked.choices, minute_of(clock, shown.date))
    store = asked.parts.store
    view = replace(view, visit_ids=visit_ids(store, shown.date), upkeep=due_lines(store, shown.date))
    dates = dates_around(shown.date, clock().date())
    return page(asked.request, "day", "Day", status, page=view, form=form, dates=dates)


def form_response(asked: Asked, form: PlanForm, status: int = 200) -> HTMLResponse:
    """Only the form for planning again, to be swapped in."""
    return fragment(asked.request, "plan_again", status, form=form)
