"""Pages as answers: a template, its views, and what stands around them."""

from fastapi import Request
from fastapi.responses import HTMLResponse

from app.roles import ROLE_WORDS
from app.routes.access import may, who_is_in
from app.routes.parts import parts_of
from app.views.shell import Room, Shell

ROOMS = (
    ("Day", "/", "GET /"),
    ("Openings", "/openings", "GET /openings"),
    ("Floor", "/floor", "GET /floor"),
    ("Waiting", "/waiting", "GET /waiting"),
    ("Patients", "/patients", "GET /patients"),
    ("Treatments", "/treatments", "GET /treatments"),
    ("Use", "/use", "GET /use"),
    ("Calendars", "/feeds", "GET /feeds"),
    ("Set-up", "/set-up", "GET /set-up"),
    ("Accounts", "/accounts", "GET /accounts"),
    ("Audit", "/audit", "GET /audit"),
)
"""Each room's name, address, and the route that says who may enter it."""


def by_htmx(request: Request) -> bool:
    return "hx-request" in request.headers


def shell(request: Request, room: str = "") -> Shell:
    """``room``: the one that the page is in."""
    parts, who = parts_of(request), who_is_in(request)
    rooms = [Room(name, address, name == room) for name, address, route in ROOMS if who and may(who, route)]
    return Shell(
        clinic=parts.clinic.now().name,
        rooms=tuple(rooms),
        who=who.name if who else "",
        role=ROLE_WORDS[who.role] if who else "",
        invented=parts.settings.invented,
    )


def page(request: Request, template: str, room: str = "", status: int = 200, **views: object) -> HTMLResponse:
    """The whole page. ``views``: what the template reads besides ``shell``."""
    rendered = parts_of(request).templates.get_template(f"pages/{template}.html")
    return HTMLResponse(rendered.render(shell=shell(request, room), **views), status)


def fragment(request: Request, template: str, status: int = 200, **views: object) -> HTMLResponse:
    """A part of a page, to be swapped in."""
    rendered = parts_of(request).templates.get_template(f"partials/{template}.html")
    return HTMLResponse(rendered.render(**views), status)
