"""What the Floor recorded in an older database stays when its events may say more, and is still only added to."""

from pathlib import Path

import pytest
from sqlalchemy import text

from app.db.migrating import migrate
from app.db.store import open_store
from app.errors import StoreError

OLD = (
    "INSERT INTO clinic (id, name, time_zone, step_min, move_min, bay_turnover_min, aims, what_to_bring, calendar_key)"
    " VALUES (1, 'Old clinic', 'Europe/Dublin', 5, 0, 0, '[]', '', '')",
    "INSERT INTO clinic_day (id, clinic_id, date, time_zone, version, open_min, close_min, step_min, move_min,"
    " bay_turnover_min, aims) VALUES (1, 1, '2031-03-04', 'Europe/Dublin', 1, 540, 600, 5, 0, 0, '[]')",
    "INSERT INTO day_figures (day_id, day_version, sums) VALUES (1, 1, '{}')",
    "INSERT INTO live_event (id, day_id, key, kind, at, received_at, actor, detail)"
    " VALUES (7, 1, 'one', 'away', '2031-03-04 09:00:00', '2031-03-04 09:00:00', 'Tess', '{}')",
    "INSERT INTO live_event (id, day_id, key, kind, at, received_at, actor, undoes_id, detail)"
    " VALUES (9, 1, 'two', 'undone', '2031-03-04 09:01:00', '2031-03-04 09:01:00', 'Tess', 7, '{}')",
)
EVENT = (
    "INSERT INTO live_event (day_id, key, kind, at, received_at, actor, detail)"
    " VALUES (1, '{}', '{}', '2031-03-04 09:02:00', '2031-03-04 09:02:00', 'Tess', '{{}}')"
)


def test_events_of_an_older_database_stay_and_one_kind_is_new(tmp_path: Path) -> None:
    store = open_store(str(tmp_path / "old.db"))
    migrate(store, "0012")
    with store.writing() as session:
        for statement in OLD:
            session.connection().execute(text(statement))
    migrate(store)
    with store.writing() as session:
        session.connection().execute(text(EVENT.format("three", "battery_empty")))
    with store.reading() as session:
        events = session.connection().execute(text("SELECT id, kind, undoes_id FROM live_event ORDER BY id")).all()
        figures = session.connection().execute(text("SELECT count(*) FROM day_figures")).scalar_one()
    assert [tuple(row) for row in events] == [(7, "away", None), (9, "undone", 7), (10, "battery_empty", None)]
    assert figures == 0
    with pytest.raises(StoreError, match="rows of live_event are only added"), store.writing() as session:
        session.connection().execute(text("DELETE FROM live_event"))
    with pytest.raises(StoreError, match="CHECK"), store.writing() as session:
        session.connection().execute(text(EVENT.format("four", "no such kind")))
    store.close()
