"""What is answered where a request cannot be: a page with one line a fault, or a fragment fit to be swapped in."""

from urllib.parse import quote

from fastapi import FastAPI, HTTPException, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import RedirectResponse, Response
from starlette.exceptions import HTTPException as AnyHTTPException

from app.errors import StaleDayError, StaleRecordError, StaleSetUpError, StoreError
from app.routes.access import NotSignedInError, who_is_in
from app.routes.pages import by_htmx, fragment, page
from solver.errors import InputError

_WORDS = {
    400: ("This cannot be read", "What was sent is not what this address takes."),
    403: ("This is not for your role", "Ask an administrator where you need it."),
    404: ("There is nothing at this address", "It may be mistyped, or what it was of is gone."),
    405: ("This cannot be done here", "The address is right, and is for something else."),
    413: ("This is too much", "More was sent than this address takes."),
    422: ("This cannot be read", "What was sent is not what this address takes."),
}


def refuse(request: Request, status: int, title: str, lines: tuple[str, ...]) -> Response:
    """``lines``: what is wrong, one each."""
    if by_htmx(request):
        return fragment(request, "refused", status, title=title, lines=lines)
    return page(request, "refused", status=status, title=title, lines=lines)


def add_refusals(app: FastAPI) -> None:
    """Give every error that a route can end with its answer."""

    @app.exception_handler(AnyHTTPException)
    def of_http(request: Request, error: AnyHTTPException) -> Response:
        title, line = _WORDS.get(error.status_code, _WORDS[400])
        if error.status_code == 404 and who_is_in(request) is None:
            line = "It may be mistyped, or you may have to sign in first."
        answer = refuse(request, error.status_code, title, (line,))
        answer.headers.update(error.headers or {})
        return answer

    @app.exception_handler(RequestValidationError)
    def of_validation(request: Request, error: RequestValidationError) -> Response:
        # A number in the address that is none: there is nothing there.
        in_path = any(fault["loc"][:1] == ("path",) for fault in error.errors())
        return of_http(request, HTTPException(404 if in_path else 422))

    @app.exception_handler(NotSignedInError)
    def of_nobody(request: Request, error: NotSignedInError) -> Response:
        wanted = request.url.path + (f"?{request.url.query}" if request.url.query else "")
        back = f"?to={quote(wanted, safe='')}" if request.method == "GET" else ""
        if by_htmx(request):
            answer = refuse(request, 401, "You are signed out", ("Sign in again, and then once more.",))
            answer.headers["HX-Redirect"] = "/sign-in"
            return answer
        if request.method != "GET" and request.method != "HEAD":
            return refuse(request, 401, "You are signed out", ("Sign in again, and then once more.",))
        return RedirectResponse(f"/sign-in{back}", 303)

    @app.exception_handler(InputError)
    def of_input(request: Request, error: InputError) -> Response:
        return refuse(request, 422, "This cannot be done", tuple(str(fault) for fault in error.faults))

    @app.exception_handler(StaleSetUpError)
    @app.exception_handler(StaleDayError)
    def of_stale(request: Request, error: StaleDayError | StaleSetUpError) -> Response:
        return refuse(request, 409, "Somebody else was faster", (str(error), *error.changes))

    @app.exception_handler(StaleRecordError)
    def of_stale_record(request: Request, error: StaleRecordError) -> Response:
        return refuse(request, 409, "Somebody else was faster", (str(error),))

    @app.exception_handler(StoreError)
    def of_store(request: Request, error: StoreError) -> Response:
        return refuse(request, 503, "The clinic’s database cannot be used", (str(error),))
