"""Every route of the app, so that no test has a list of its own that grows old."""

from collections.abc import Iterator

from fastapi import FastAPI
from fastapi.routing import iter_route_contexts


def every_route(app: FastAPI) -> Iterator[str]:
    """Such as ``POST /accounts``; HEAD stands under its GET."""
    for route in iter_route_contexts(app.routes):
        for method in sorted(getattr(route, "methods", None) or ()):
            if method != "HEAD":
                yield f"{method} {route.path}"
