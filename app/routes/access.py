"""Who may do what: one table for every route, asked before any of them runs. What is not in it is refused."""

from typing import cast

from fastapi import HTTPException, Request

from app.roles import ROLES, Role
from app.routes.parts import parts_of
from app.services.signing_in import SignedIn

COOKIE = "channelday"

ANYBODY: None = None
EVERYONE = frozenset(ROLES)
PLANNERS: frozenset[Role] = frozenset({"desk", "manager", "administrator"})
MANAGERS: frozenset[Role] = frozenset({"manager", "administrator"})
CLINICIANS: frozenset[Role] = frozenset({"therapist", "manager", "administrator"})
ADMINISTRATORS: frozenset[Role] = frozenset({"administrator"})

ACCESS: dict[str, frozenset[Role] | None] = {
    "GET /favicon.ico": ANYBODY,
    "GET /sign-in": ANYBODY,
    "POST /sign-in": ANYBODY,
    "GET /once/{token}": ANYBODY,
    "POST /once/{token}": ANYBODY,
    "POST /sign-out": EVERYONE,
    "GET /password": EVERYONE,
    "POST /password": EVERYONE,
    "GET /": EVERYONE,
    "GET /day": EVERYONE,
    "GET /day/{day}": EVERYONE,
    "GET /day/{day}/changes": EVERYONE,
    "POST /day/{day}/plan": PLANNERS,
    "POST /day/{day}/plan/cancel": PLANNERS,
    "GET /day/{day}/plan/events": EVERYONE,
    "POST /day/{day}/plan/accept": PLANNERS,
    "POST /day/{day}/plan/discard": PLANNERS,
    "GET /day/{day}/proposal": PLANNERS,
    "GET /floor": EVERYONE,
    "GET /floor/{day}": EVERYONE,
    "GET /floor/{day}/changes": EVERYONE,
    "POST /floor/{day}/press": CLINICIANS,
    "GET /floor/{day}/handover": EVERYONE,
    "POST /floor/{day}/handover": CLINICIANS,
    "GET /floor/{day}/handover/fhir.json": MANAGERS,
    "GET /floor/{day}/late": EVERYONE,
    "POST /floor/{day}/late/repair": EVERYONE,
    "POST /floor/{day}/late/cancel": EVERYONE,
    "POST /floor/{day}/late/accept": EVERYONE,
    "GET /floor/{day}/visit/{id}": EVERYONE,
    "POST /floor/{day}/visit/{id}": CLINICIANS,
    "GET /visit/{id}": EVERYONE,
    "GET /visit/{id}/slip": EVERYONE,
    "GET /visit/{id}/calendar.ics": EVERYONE,
    "POST /visit/{id}/arrived": EVERYONE,
    "POST /visit/{id}/fulfilled": EVERYONE,
    "POST /visit/{id}/noshow": PLANNERS,
    "POST /visit/{id}/cancelled": PLANNERS,
    "POST /visit/{id}/entered-in-error": PLANNERS,
    "POST /visit/{id}/told": PLANNERS,
    "POST /visit/{id}/undo": PLANNERS,
    "GET /waiting": EVERYONE,
    "POST /waiting": PLANNERS,
    "POST /waiting/find": PLANNERS,
    "POST /waiting/patient": PLANNERS,
    "GET /waiting/{id}/book": PLANNERS,
    "POST /waiting/{id}": PLANNERS,
    "POST /waiting/{id}/off": PLANNERS,
    "GET /feeds": EVERYONE,
    "POST /feeds": EVERYONE,
    "POST /feeds/{id}/end": EVERYONE,
    "GET /feed/{token}.ics": ANYBODY,
    "GET /accounts": ADMINISTRATORS,
    "POST /accounts": ADMINISTRATORS,
    "POST /accounts/{id}": ADMINISTRATORS,
    "POST /accounts/{id}/close": ADMINISTRATORS,
    "POST /accounts/{id}/open": ADMINISTRATORS,
    "POST /accounts/{id}/address": ADMINISTRATORS,
    "GET /audit": MANAGERS,
    "GET /use": MANAGERS,
    "GET /use/one-more": MANAGERS,
    "POST /use/one-more": MANAGERS,
    "POST /use/one-more/cancel": MANAGERS,
    "GET /use/one-more/csv/{table}": MANAGERS,
    "GET /use/holding-back": MANAGERS,
    "POST /use/holding-back": MANAGERS,
    "POST /use/holding-back/cancel": MANAGERS,
    "GET /use/holding-back/csv/{table}": MANAGERS,
    "GET /use/robust": MANAGERS,
    "POST /use/robust": MANAGERS,
    "POST /use/robust/cancel": MANAGERS,
    "GET /use/robust/csv/{table}": MANAGERS,
    "GET /use/capacity": MANAGERS,
    "GET /use/capacity/csv/{table}": MANAGERS,
    "GET /use/upkeep": MANAGERS,
    "POST /use/upkeep": MANAGERS,
    "POST /use/upkeep/{id}/back": MANAGERS,
    "GET /use/upkeep/csv/{table}": MANAGERS,
    "GET /use/month/{month}": MANAGERS,
    "GET /use/csv/{table}": MANAGERS,
    "GET /treatments": EVERYONE,
    "GET /treatments/form": EVERYONE,
    "POST /treatments/form": CLINICIANS,
    "POST /treatments/retire": CLINICIANS,
    "POST /treatments/back": CLINICIANS,
    "GET /openings": EVERYONE,
    "POST /openings/find": EVERYONE,
    "POST /openings/patient": PLANNERS,
    "POST /openings/book": PLANNERS,
    "POST /openings/undo": PLANNERS,
    "POST /openings/move": PLANNERS,
    "POST /openings/move/undo": PLANNERS,
    "GET /openings/course": PLANNERS,
    "POST /openings/course/book": PLANNERS,
    "POST /openings/course/undo": PLANNERS,
    "GET /patients": EVERYONE,
    "POST /patients": EVERYONE,
    "POST /patients/find": EVERYONE,
    "GET /patients/{id}": EVERYONE,
    "POST /patients/{id}": EVERYONE,
    "GET /patients/{id}/course": CLINICIANS,
    "POST /patients/{id}/course": CLINICIANS,
    "POST /patients/{id}/course/end": CLINICIANS,
    "GET /set-up/csv/{what}": MANAGERS,
    "POST /set-up/csv/{what}": MANAGERS,
    "POST /set-up/csv/{what}/bring-in": MANAGERS,
    "GET /set-up": MANAGERS,
    "GET /set-up/saving/{job}": MANAGERS,
    "POST /set-up/saving/{job}/cancel": MANAGERS,
    "GET /set-up/clinic": MANAGERS,
    "POST /set-up/clinic": MANAGERS,
    "GET /set-up/opening": MANAGERS,
    "POST /set-up/opening": MANAGERS,
    "GET /set-up/closure": MANAGERS,
    "POST /set-up/closure": MANAGERS,
    "POST /set-up/closure/remove": MANAGERS,
    "GET /set-up/{kind}/form": MANAGERS,
    "POST /set-up/{kind}/form": MANAGERS,
    "POST /set-up/{kind}/retire": MANAGERS,
    "POST /set-up/{kind}/back": MANAGERS,
    "GET /set-up/{kind}/away": MANAGERS,
    "POST /set-up/{kind}/away": MANAGERS,
    "POST /set-up/{kind}/away/remove": MANAGERS,
}
"""By method and the route's address: the roles that may, or ANYBODY for those who need not be signed in. What may be
got may be asked about by HEAD."""


class NotSignedInError(Exception):
    """The request needs somebody who is signed in."""


def admit(request: Request) -> None:
    """Raises NotSignedInError, or 403 where the role may not. Afterwards ``who_is_in`` says who it is."""
    who = parts_of(request).signing_in.who(request.cookies.get(COOKIE, ""))
    request.state.who = who
    method = "GET" if request.method == "HEAD" else request.method
    allowed = ACCESS.get(f"{method} {request.scope['route'].path}", frozenset())
    if allowed is None:
        return
    if who is None:
        raise NotSignedInError
    if who.role not in allowed:
        raise HTTPException(403)


def may(who: SignedIn | None, route: str) -> bool:
    """Whether the route, such as ``POST /accounts``, is for them."""
    allowed = ACCESS.get(route, frozenset())
    return allowed is None or (who is not None and who.role in allowed)


def who_is_in(request: Request) -> SignedIn | None:
    """Who the request comes from; None where nobody is signed in."""
    return cast("SignedIn | None", getattr(request.state, "who", None))


def signed_in(request: Request) -> SignedIn:
    """The same on routes that are not for ANYBODY."""
    who = who_is_in(request)
    if who is None:
        raise NotSignedInError
    return who
