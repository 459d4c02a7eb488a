"""Calendar feeds: the page on which their secret addresses are made and ended, and what is behind such an address."""

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import RedirectResponse, Response

from app.routes.access import signed_in
from app.routes.forms import Form
from app.routes.own_address import own_address
from app.routes.pages import page
from app.routes.parts import parts_of
from app.routes.row_ids import RowId
from app.services.visits.calendars import feed
from app.services.visits.feeds import end_feed, feeds_for, make_feed

router = APIRouter()


@router.api_route("/feeds", methods=["GET", "HEAD"])
def show_feeds(request: Request) -> Response:
    return _page(request)


@router.post("/feeds")
def make(request: Request, form: Form) -> Response:
    """The page, with the new address; it is shown this once."""
    token = make_feed(parts_of(request).store, form["staff"], actor=signed_in(request).name)
    return _page(request, own_address(request, f"/feed/{token}.ics"))


@router.post("/feeds/{id}/end")
def end(request: Request, id: RowId) -> Response:
    end_feed(parts_of(request).store, id, actor=signed_in(request).name)
    return RedirectResponse("/feeds", 303)


@router.api_route("/feed/{token}.ics", methods=["GET", "HEAD"])
def read_feed(request: Request, token: str) -> Response:
    """404 where the address works no longer, or never did."""
    file = feed(parts_of(request).store, token, today=parts_of(request).clock().date())
    if file is None:
        raise HTTPException(404)
    return Response(file, media_type="text/calendar; charset=utf-8")


def _page(request: Request, address: str = "") -> Response:
    staff, feeds = feeds_for(parts_of(request).store, signed_in(request).name)
    return page(request, "feeds", "Calendars", staff=staff, feeds=feeds, address=address)
