"""What the Floor recorded of the small day, seen the day after. Nobody in it is real.

Ann began 7 minutes late and ran 4 over, of which 2 were a pause; Bea did not come; Cy's first part ran to plan and
nobody ended the second.
"""

from datetime import datetime, timedelta
from typing import Any

from app.db.store import Store
from app.models import LiveEvent
from app.queries.days import day_row
from app.queries.visit_life import row_ids
from tests.app.clinic_days import DATE
from tests.app.floor_days import instant

AFTER = DATE + timedelta(days=1)
EVENTS: tuple[tuple[str, str, str, int | None, dict[str, Any]], ...] = (
    ("09:07", "started", "V1", 0, {}),
    ("09:12", "phase", "V1", 0, {"phase": 1}),
    ("09:14", "paused", "V1", 0, {"reason": ""}),
    ("09:16", "resumed", "V1", 0, {}),
    ("09:24", "phase", "V1", 0, {"phase": 2}),
    ("09:30", "started", "V3", 0, {}),
    ("09:31", "ended", "V1", 0, {"reason": ""}),
    ("09:40", "ended", "V3", 0, {"reason": ""}),
    ("09:50", "started", "V3", 1, {}),
    ("10:20", "missed", "V2", None, {}),
)


def the_day_after() -> datetime:
    """A clock."""
    return datetime.combine(AFTER, datetime.min.time())


def record(store: Store) -> None:
    for time, kind, visit, part, detail in EVENTS:
        add_event(store, time, kind, visit, part, detail)


def add_event(
    store: Store, time: str, kind: str, visit: str, part: int | None, detail: dict[str, Any], undoes: int | None = None
) -> int:
    with store.writing() as session:
        row = day_row(session, 1, DATE)
        assert row is not None
        assert row.id is not None
        event = LiveEvent(
            day_id=row.id,
            key=f"{time} {kind} {visit} {undoes}",
            visit_id=row_ids(session, 1, DATE)[visit],
            part=part,
            kind=kind,
            at=instant(time),
            received_at=instant(time),
            actor="Tess Ray",
            undoes_id=undoes,
            detail=detail,
        )
        session.add(event)
        session.flush()
        assert event.id is not None
        return event.id
