"""Addresses to be given to somebody: whole, as this app is reached by."""

from fastapi import Request

from app.routes.parts import parts_of


def own_address(request: Request, path: str) -> str:
    scheme = "https" if parts_of(request).settings.secure else request.url.scheme
    return f"{scheme}://{request.headers['host']}{path}"
