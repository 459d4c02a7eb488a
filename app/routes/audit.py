"""The audit, to read."""

from urllib.parse import urlencode

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.routes.pages import page
from app.routes.parts import parts_of
from app.services.audit_log import audit_page
from app.typed import date_of, whole
from app.views.audit import AuditRow, changes_of

router = APIRouter()


@router.api_route("/audit", methods=["GET", "HEAD"])
def show_audit(request: Request, actor: str = "", record: str = "", on: str = "", before: str = "") -> Response:
    """The newest rows first. What means nothing in the address is passed over."""
    earlier = whole(before)
    found = audit_page(
        parts_of(request).store, before=earlier, actor=actor[:200], record=record.strip()[:200], on=date_of(on)
    )
    rows = tuple(
        AuditRow(
            date=line.at.date().isoformat(),
            time=f"{line.at:%H:%M:%S}",
            actor=line.actor,
            action=line.action,
            record=line.record,
            changes=changes_of(line.before, line.after),
        )
        for line in found.lines
    )
    asked = {"actor": actor, "record": record, "on": on}
    older = urlencode({**{name: value for name, value in asked.items() if value}, "before": found.older or ""})
    return page(
        request,
        "audit",
        "Audit",
        rows=rows,
        actors=found.actors,
        asked=asked,
        older=f"/audit?{older}" if found.older else "",
        newest=f"/audit?{urlencode(asked)}" if earlier else "",
    )
