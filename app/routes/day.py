"""The Day page."""

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import HTMLResponse, RedirectResponse

from app.routes.asked import AskedDay, parts_of
from app.routes.render import form_view, page_response

router = APIRouter()


@router.api_route("/", methods=["GET", "HEAD"])
def first(request: Request) -> RedirectResponse:
    """To the day there is."""
    known = parts_of(request).files.date
    if known is None:
        raise HTTPException(404)
    return RedirectResponse(f"/day/{known.isoformat()}", 307)


@router.api_route("/day/{day}", methods=["GET", "HEAD"], response_class=HTMLResponse)
def show_day(asked: AskedDay) -> HTMLResponse:
    return page_response(asked, form_view(asked))
