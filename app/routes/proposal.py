"""A proposal for a day that has a plan: looked at, accepted or discarded."""

from fastapi import APIRouter
from fastapi.responses import RedirectResponse, Response

from app.routes.access import signed_in
from app.routes.asked import AskedDay
from app.routes.forms import Form
from app.routes.pages import page
from app.services.days import kept_day
from app.services.holding import Held, held_on
from app.services.planning import MOST_SECONDS
from app.services.visits.about import told_words
from app.views.dates import spoken
from app.views.proposal import Stays, aims_beside, changes

router = APIRouter(prefix="/day/{day}")


@router.api_route("/proposal", methods=["GET", "HEAD"])
def show_proposal(asked: AskedDay) -> Response:
    """What would change; and which told visits would stay if the day were planned again, and which could not."""
    parts, date = asked.parts, asked.shown.date
    proposal = parts.planning.proposals.of(date)
    kept = kept_day(parts.store, date)
    held = Held({}, {}) if kept is None else held_on(parts.store, kept)
    names = {visit.id: visit.patient for visit in asked.day.visits}
    before = None if proposal is None else proposal.kept.plan
    free = proposal.free if proposal is not None else frozenset()
    stay = {*held.told, *held.there}
    lost = [code for code in asked.day.published_by_id if code in names and code not in stay]
    return page(
        asked.request,
        "proposal",
        "Day",
        date=date.isoformat(),
        title=spoken(date),
        proposal=proposal,
        stale=proposal is not None and proposal.kept.version != asked.shown.version,
        changes=changes(asked.day, before, proposal.plan) if proposal is not None and before is not None else (),
        aims=aims_beside(proposal.kept.day, before, proposal.plan) if proposal is not None and before else (),
        stays=[Stays(code, names[code], told_words(asked.day, one), code in free) for code, one in held.told.items()],
        there=list(dict.fromkeys(names[code] for code in held.there)),
        lost=list(dict.fromkeys(names[code] for code in lost)),
        seconds=asked.parts.settings.seconds,
        most=MOST_SECONDS,
    )


@router.post("/plan/accept")
def accept(asked: AskedDay, form: Form) -> Response:
    """409, with what was changed, where the day is not as it was when the search began."""
    who = signed_in(asked.request).name
    asked.parts.planning.accept(asked.shown.date, form.number("number") or 0, actor=who)
    return RedirectResponse(f"/day/{asked.shown.date.isoformat()}", 303)


@router.post("/plan/discard")
def discard(asked: AskedDay, form: Form) -> Response:
    asked.parts.planning.discard(asked.shown.date, form.number("number") or 0)
    return RedirectResponse(f"/day/{asked.shown.date.isoformat()}", 303)
