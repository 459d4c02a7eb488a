"""An older database is brought up: patients are found then, and a file's visit still finds its treatment."""

from pathlib import Path

from sqlalchemy import text

from app.db.migrating import migrate
from app.db.store import open_store

OLD = "0005"


def test_what_was_there_before_gets_what_the_new_columns_say(tmp_path: Path) -> None:
    store = open_store(str(tmp_path / "old.db"))
    migrate(store, OLD)
    with store.writing() as session:
        for statement in (
            "INSERT INTO clinic VALUES (1, 'Old clinic', 'Europe/Dublin', 5, 0, 0, '[]')",
            "INSERT INTO patient (id, clinic_id, code, name) VALUES (1, 1, 'K1', 'Zoë Invented')",
            "INSERT INTO treatment (id, clinic_id, code, name, is_retired) VALUES (1, 1, 'a', 'a', false)",
            "INSERT INTO treatment_version (id, treatment_id, version, digest, same_unit) VALUES (1, 1, 1, 'd', true)",
        ):
            session.connection().execute(text(statement))
    migrate(store)
    with store.reading() as session:
        versions = session.connection().execute(text("SELECT digest, scheduling_digest FROM treatment_version")).all()
        patients = session.connection().execute(text("SELECT sought, phone, version FROM patient")).all()
    store.close()
    assert [tuple(row) for row in versions] == [("d", "d")]
    assert [tuple(row) for row in patients] == [(" zoe invented k1", "", 1)]
