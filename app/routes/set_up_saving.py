"""Saving a change of the set-up from a form: its faults beside its fields, what it breaks before it is saved."""

import uuid
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from fastapi import Request
from fastapi.responses import RedirectResponse, Response

from app.errors import StaleSetUpError
from app.routes.access import signed_in
from app.routes.faults import by_field
from app.routes.forms import Fields
from app.routes.pages import page
from app.routes.parts import parts_of
from app.services.setup.changing import BreaksVisitsError, Effects, save_change
from app.services.setup.checking import ChangeCancelledError
from app.services.setup.filled import FilledSetUp
from app.services.setup.texts import listed
from app.services.setup.whose import booked_days, names_in
from app.services.setup.work import Change
from app.views.dates import spoken
from app.views.filling import Known
from app.views.forms import Broken, FormView, Group, checking_words, placed, unplaced
from solver.errors import InputError

Groups = Callable[[Mapping[str, Any], Mapping[str, str], Known], tuple[Group, ...]]


@dataclass(frozen=True, slots=True, kw_only=True)
class SetUpForm:
    """A form of the set-up. ``read``: the version that it was filled from, empty for a new thing. ``done``: a key of
    DONE, what is told at ``/set-up`` afterwards; empty: nothing, and it goes ``back``."""

    title: str
    lead: str
    action: str
    back: str
    groups: Groups
    values: Mapping[str, Any]
    read: str
    more: tuple[tuple[str, str], ...] = ()
    done: str = ""


def show(
    request: Request,
    form: SetUpForm,
    known: Known,
    *,
    status: int = 200,
    faults: Mapping[str, str] | None = None,
    said: Sequence[str] = (),
    effects: Effects | None = None,
) -> Response:
    """The form as a page. ``said``: what is wrong that no field is to blame for. ``effects``: what saving breaks."""
    groups = form.groups(form.values, faults or {}, known)
    hidden = [("read", form.read), ("shown", effects.digest if effects else ""), ("job", str(uuid.uuid4())), *form.more]
    view = FormView(
        title=form.title,
        lead=form.lead,
        action=form.action,
        back=form.back,
        save="Save all the same" if effects and effects.broken else "Save",
        hidden=tuple(hidden),
        groups=groups,
        faults=(*said, *unplaced(faults or {}, groups)),
        wrong=placed(groups),
        busy=busy_words(request),
        broken=broken_visits(request, effects) if effects else (),
    )
    return page(request, "set_up_form", "Set-up", status, form=view, trail=("Set-up", "/set-up"))


def save(request: Request, form: SetUpForm, known: Known, change: Change, fields: Fields) -> Response:
    """Save the change, or the page that says why not yet: 422 for faults, 409 for what was changed or breaks."""
    parts, job = parts_of(request), fields["job"]
    progress = parts.checking.begin(job)
    try:
        save_change(parts.store, change, actor=signed_in(request).name, shown=fields["shown"], progress=progress)
    except ChangeCancelledError as error:
        return show(request, form, known, status=409, said=(str(error),))
    except InputError as error:
        return show(request, form, known, status=422, faults=by_field(error))
    except StaleSetUpError as error:
        return show(request, form, known, status=409, said=(str(error), *error.changes))
    except BreaksVisitsError as error:
        return show(request, form, known, status=409, effects=error.effects)
    finally:
        parts.checking.end(job)
    return RedirectResponse(f"/set-up?done={form.done}#done" if form.done else form.back, 303)


def busy_words(request: Request) -> str:
    """What is told while a change is being saved."""
    parts = parts_of(request)
    return checking_words(booked_days(parts.store, parts.clock().date()))


def known_of(set_up: FilledSetUp, zones: Sequence[str] = ()) -> Known:
    """What the fields offer, of what is in use."""
    skills = {skill for member in set_up.staff for skill in listed(getattr(member.form, "skills", ""))}
    return Known(
        places={one.form.code: one.form.name for one in set_up.places if not one.is_retired},
        units={one.form.code: one.form.name for one in set_up.units if not one.is_retired},
        skills=sorted(skills),
        zones=zones,
    )


def broken_visits(request: Request, effects: Effects) -> tuple[Broken, ...]:
    """The visits that a change would break, with their patients by name."""
    names = names_in(parts_of(request).store, effects)
    return tuple(
        Broken(
            date=spoken(one.date),
            address=f"/day/{one.date.isoformat()}",
            visit=one.visit,
            patient=names[one.patient],
            start=one.start or "not placed",
            reasons=tuple(f"{reason.rule}: {reason.text}" for reason in one.reasons),
        )
        for one in effects.broken
    )
