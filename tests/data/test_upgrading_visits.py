"""A database from before visits were told by their first row: those that were one by their code are one still."""

from pathlib import Path

from sqlalchemy import text

from app.db.migrating import migrate
from app.db.store import open_store

OLD = "0012"
CLINIC = """
INSERT INTO clinic (id, name, time_zone, step_min, move_min, bay_turnover_min, aims, what_to_bring, calendar_key)
    VALUES (1, 'Old clinic', 'Europe/Dublin', 5, 0, 0, '[]', '', 'key');
INSERT INTO patient (id, clinic_id, code, name) VALUES (1, 1, 'K1', 'Ann Early');
INSERT INTO patient (id, clinic_id, code, name) VALUES (2, 1, 'K2', 'Bea Later');
INSERT INTO treatment (id, clinic_id, code, name, is_retired) VALUES (1, 1, 'a', 'a', false);
INSERT INTO treatment_version (id, treatment_id, version, digest, same_unit) VALUES (1, 1, 1, 'd', true)
"""
DAY = """
INSERT INTO clinic_day (id, clinic_id, date, time_zone, version, open_min, close_min, step_min, move_min,
    bay_turnover_min, aims) VALUES ({0}, 1, '2031-03-0{0}', 'Europe/Dublin', 1, 540, 1020, 5, 0, 0, '[]')
"""
VISIT = """
INSERT INTO booked_visit (id, day_id, code, position, patient_id, treatment_version_id, priority, place_tags,
    is_removed) VALUES ({}, {}, '{}', 0, {}, 1, 1, '[]', {})
"""
STEP = "INSERT INTO visit_status (visit_id, status, reason, at, actor) VALUES ({}, '{}', '', '2031-03-01', 'desk')"
VISITS = (
    *((1, 1, "V1", 1, "true"), (2, 1, "V1", 1, "true"), (3, 2, "V1", 1, "false")),  # changed, then moved
    *((4, 1, "V2", 2, "false"), (5, 2, "V2", 2, "true"), (6, 2, "V2", 2, "false")),  # in use on two days
    *((7, 1, "V3", 1, "true"), (8, 2, "V3", 1, "false")),  # one cancelled, the other there
    *((9, 1, "V4", 1, "true"), (10, 2, "V4", 2, "false")),  # two patients
)


def test_visits_that_were_one_by_their_code_are_one_by_their_first_row(tmp_path: Path) -> None:
    store = open_store(str(tmp_path / "old.db"))
    migrate(store, OLD)
    with store.writing() as session:
        days, steps = (DAY.format(day) for day in (1, 2)), (STEP.format(7, "cancelled"), STEP.format(1, "arrived"))
        for statement in (*CLINIC.split(";"), *days, *(VISIT.format(*one) for one in VISITS), *steps):
            session.connection().execute(text(statement))
        session.connection().execute(text(STEP.format(2, "booked")))
    migrate(store)
    with store.reading() as session:
        rows = session.connection().execute(text("SELECT id, first_id FROM booked_visit ORDER BY id"))
        assert [tuple(row) for row in rows if row[1] is not None] == [(2, 1), (3, 1), (6, 5)]
    store.close()
