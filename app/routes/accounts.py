"""Accounts, for administrators."""

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response

from app.roles import ROLE_WORDS
from app.routes.access import signed_in
from app.routes.faults import as_lines, by_field
from app.routes.forms import Form
from app.routes.own_address import own_address
from app.routes.pages import page
from app.routes.parts import parts_of
from app.routes.row_ids import RowId
from app.services import accounts
from solver.errors import InputError

router = APIRouter(prefix="/accounts")


@router.api_route("", methods=["GET", "HEAD"])
def show_accounts(request: Request) -> Response:
    return _page(request)


@router.post("")
def make_account(request: Request, form: Form) -> Response:
    """422, with the form as it was filled in, where no such account can be made."""
    given = {name: form[name] for name in ("name", "role", "staff")}
    try:
        token = accounts.make_account(parts_of(request).store, **given, actor=signed_in(request).name)
    except InputError as error:
        return _page(request, 422, given=given, faults=by_field(error))
    return _page(request, address=own_address(request, f"/once/{token}"), of=given["name"])


@router.post("/{id}")
def change_account(request: Request, id: RowId, form: Form) -> Response:
    try:
        accounts.change_account(parts_of(request).store, id, form["role"], form["staff"], actor=signed_in(request).name)
    except InputError as error:
        return _page(request, 422, refused=as_lines(error))
    return RedirectResponse("/accounts", 303)


@router.post("/{id}/close")
def close_account(request: Request, id: RowId) -> Response:
    try:
        accounts.close_account(parts_of(request).store, id, actor=signed_in(request).name)
    except InputError as error:
        return _page(request, 422, refused=as_lines(error))
    return RedirectResponse("/accounts", 303)


@router.post("/{id}/open")
def open_account_again(request: Request, id: RowId) -> Response:
    accounts.open_account_again(parts_of(request).store, id, actor=signed_in(request).name)
    return RedirectResponse("/accounts", 303)


@router.post("/{id}/address")
def new_address(request: Request, id: RowId) -> Response:
    """The page, with an address at which the account's password can be set once."""
    store = parts_of(request).store
    try:
        token = accounts.new_password_address(store, id, actor=signed_in(request).name)
    except InputError as error:
        return _page(request, 422, refused=as_lines(error))
    name = next(line.name for line in accounts.accounts(store) if line.id == id)
    return _page(request, address=own_address(request, f"/once/{token}"), of=name)


def _page(
    request: Request,
    status: int = 200,
    *,
    given: dict[str, str] | None = None,
    faults: dict[str, str] | None = None,
    refused: tuple[str, ...] = (),
    address: str = "",
    of: str = "",
) -> Response:
    """``address``: a new one-time address, shown this once; ``of``: whose."""
    store = parts_of(request).store
    return page(
        request,
        "accounts",
        "Accounts",
        status,
        accounts=accounts.accounts(store),
        roles=ROLE_WORDS,
        staff=accounts.staff_choices(store),
        given=given or {"name": "", "role": "desk", "staff": ""},
        faults=faults or {},
        refused=refused,
        address=address,
        of=of,
    )
