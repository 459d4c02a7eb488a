"""How far the saving of a change of the set-up is, and the end of it."""

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.routes.pages import fragment
from app.routes.parts import parts_of

router = APIRouter(prefix="/set-up/saving/{job}")


@router.api_route("", methods=["GET", "HEAD"])
def show_progress(request: Request, job: str) -> Response:
    """204 where nothing is being saved under the key: not yet, or not any more."""
    progress = parts_of(request).checking.of(job)
    if progress is None:
        return Response(status_code=204)
    return fragment(request, "saving", progress=progress)


@router.post("/cancel")
def cancel(request: Request, job: str) -> Response:
    """The page that waits for it is then told that nothing was changed."""
    parts_of(request).checking.cancel(job)
    return Response(status_code=204)
