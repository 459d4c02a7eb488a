"""Signing in and out, addresses that work once, and one's own password."""

import re

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response

from app.routes.access import COOKIE, signed_in
from app.routes.faults import by_field
from app.routes.forms import Form
from app.routes.pages import page
from app.routes.parts import parts_of
from app.routes.refusals import refuse
from app.services.passwords import LEAST
from app.services.signing_in import LASTS
from solver.errors import InputError

router = APIRouter()
_OWN_PAGE = re.compile(r"/(?![/\\])[\x21-\x7e]*")


@router.api_route("/favicon.ico", methods=["GET", "HEAD"])
def icon() -> Response:
    """Browsers ask for it beside an answer that is no page and can link none."""
    return RedirectResponse("/static/icon.svg", 308)


@router.api_route("/sign-in", methods=["GET", "HEAD"])
def sign_in_page(request: Request, to: str = "") -> Response:
    return page(request, "sign_in", name="", to=_own(to), fault="")


@router.post("/sign-in")
def sign_in(request: Request, form: Form) -> Response:
    """422, with the name as it was given, where name and password do not belong together."""
    to = _own(form["to"])
    whence = request.client.host if request.client else ""
    try:
        token = parts_of(request).signing_in.sign_in(form["name"], form.raw("password"), whence)
    except InputError as error:
        fault = f"{error.faults[0].what}: {error.faults[0].right}."
        return page(request, "sign_in", status=422, name=form["name"], to=to, fault=fault[:1].upper() + fault[1:])
    return _let_in(request, token, to or "/")


@router.post("/sign-out")
def sign_out(request: Request) -> Response:
    parts_of(request).signing_in.sign_out(request.cookies.get(COOKIE, ""))
    answer = RedirectResponse("/sign-in", 303)
    answer.delete_cookie(COOKIE)
    return answer


@router.get("/once/{token}")
def one_time(request: Request, token: str) -> Response:
    """Signs in at once, or asks for the password to be set. 404 where the address works no longer."""
    signing_in = parts_of(request).signing_in
    known = signing_in.by_address(token)
    if known is None:
        lines = ("It works once, and for two days. Ask an administrator for a new one.",)
        return refuse(request, 404, "This address does not work any more", lines)
    if known.purpose == "sign-in":
        return _let_in(request, signing_in.use_address(token), "/")
    return _password_page(request, f"/once/{token}", known.name, own=False)


@router.post("/once/{token}")
def set_password(request: Request, token: str, form: Form) -> Response:
    """422 where the password cannot be one."""
    signing_in = parts_of(request).signing_in
    known = signing_in.by_address(token)
    if known is None or known.purpose != "password":
        return one_time(request, token)
    try:
        session = signing_in.set_password(token, form.raw("password"), form.raw("again"))
    except InputError as error:
        return _password_page(request, f"/once/{token}", known.name, own=False, error=error)
    return _let_in(request, session, "/")


@router.api_route("/password", methods=["GET", "HEAD"])
def own_password(request: Request) -> Response:
    return _password_page(request, "/password", signed_in(request).name, own=True)


@router.post("/password")
def change_password(request: Request, form: Form) -> Response:
    """422 where the old one is wrong or the new one cannot be one."""
    who = signed_in(request)
    try:
        token = parts_of(request).signing_in.change_password(
            who, form.raw("old"), form.raw("password"), form.raw("again")
        )
    except InputError as error:
        return _password_page(request, "/password", who.name, own=True, error=error)
    return _let_in(request, token, "/")


def _password_page(
    request: Request, address: str, name: str, *, own: bool, error: InputError | None = None
) -> Response:
    faults = by_field(error) if error else {}
    status = 422 if error else 200
    return page(request, "set_password", status=status, address=address, name=name, least=LEAST, own=own, faults=faults)


def _own(to: str) -> str:
    """The address where it is one of this app's own pages; else empty."""
    return to if len(to) < 500 and _OWN_PAGE.fullmatch(to) else ""


def _let_in(request: Request, token: str, to: str) -> Response:
    answer = RedirectResponse(to, 303)
    secure = parts_of(request).settings.secure
    age = int(LASTS.total_seconds())
    answer.set_cookie(COOKIE, token, max_age=age, httponly=True, samesite="lax", secure=secure)
    return answer
