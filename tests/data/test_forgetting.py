"""A patient who is forgotten: the name is nowhere, and every figure is as it was. All names here are invented."""

import io
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest
from sqlalchemy import JSON, String, insert, text
from sqlmodel import SQLModel, select

from app.cli import run
from app.db.store import Store
from app.errors import StaleDayError, StoreError
from app.models import Audit, LiveEvent, Patient
from app.queries.forgetting import WRITTEN
from app.services.databases import open_database
from app.services.days import KeptDay, kept_day, save_day
from app.services.forgetting import forget_patient, patient_meant
from solver.errors import InputError
from solver.jsonio import plan_document
from solver.report import report
from solver.verify import verify
from tests.builders import A_DATE, a_day, a_part, a_plan, a_visit, hands_on, left_out, placed
from tests.data.conftest import CopyOf

NAME = "Ottoline Quarrie"
NEUTRAL = "forgotten-1"
OTHER = "Ottoline Quarriewood"
NO_WORDS = {
    "account": "accounts are of people who work here",
    "account_session one_time_address calendar_feed": "digests of secrets",
    "alembic_version": "revisions",
    "day_figures": "minutes by codes of things and staff",
    "applicator applicator_unit applicator_version bay battery channel item place place_version": "things",
    "unit unit_place unit_version day_unit opening clinic clinic_day": "things and hours",
    "staff staff_version day_staff": "people who work here",
    "saved_plan held_channel treatment_phase": "words of the model, outputs and digests",
}
"""Tables with texts in which nobody writes of a patient, each with its reason."""


def _save(store: Store) -> None:
    """Two days with the patient: a visit that was changed, one that is left out, and what was told, noted and done."""
    visits = (
        a_visit(a_part(hands_on(10), id=f"knee of {NAME}"), id=f"{NAME}-1", patient=NAME),
        a_visit(a_part(hands_on(10)), id="V2", patient=OTHER),
        a_visit(a_part(hands_on(10)), id="V3", patient=NAME),
    )
    day = a_day(*visits, published=(placed(visits[0], "09:00"),))
    reasons = [left_out("V3", "patient", f"{NAME.upper()} is in another visit")]
    plan = a_plan(day, placed(visits[0], "09:00"), placed(visits[1], "09:30"), left=reasons)
    save_day(store, day, plan, read=0, actor="test")
    wished = replace(day, visits=(replace(visits[0], wish=600), *visits[1:]))
    save_day(store, wished, a_plan(wished, *plan.visits, left=reasons), read=1, actor="test")
    tuesday = a_day(a_visit(id="V1", patient=OTHER))
    save_day(store, replace(tuesday, date=A_DATE.replace(day=5)), None, read=0, actor="test")
    with store.writing() as session:
        ids = session.connection().execute(text("SELECT id FROM booked_visit ORDER BY id")).scalars().all()
        for visit, note in ((ids[0], "Mrs Q. rang: late"), (ids[1], f"bay swapped with {NAME}")):
            detail = {"note": note, "minutes": 5, "decision": "go", "answers": {"Is there a pacemaker?": "yes"}}
            at = datetime.now(UTC)
            event = {"day_id": 1, "visit_id": visit, "kind": "decided", "at": at, "received_at": at, "actor": "T"}
            event |= {"key": f"key-{visit}", "detail": detail}
            session.connection().execute(insert(LiveEvent).values(event))


@pytest.fixture(scope="module")
def saved_data(made_data: str, kept_copy_of: CopyOf) -> str:
    """To be copied and not touched."""
    data = kept_copy_of(made_data)
    store = open_database(data)
    _save(store)
    store.close()
    return data


@pytest.fixture
def data(saved_data: str, copy_of: CopyOf) -> str:
    return copy_of(saved_data)


@pytest.fixture
def saved(data: str) -> Iterator[Store]:
    store = open_database(data)
    yield store
    store.close()


def _kept(store: Store, day: int = 4) -> KeptDay:
    kept = kept_day(store, A_DATE.replace(day=day))
    assert kept is not None
    return kept


def _all_text(store: Store) -> str:
    with store.reading() as session:
        tables = SQLModel.metadata.sorted_tables
        return "\n".join(str(row) for table in tables for row in session.connection().execute(table.select()))


def test_the_name_is_nowhere_and_every_figure_is_as_it_was(saved: Store) -> None:
    before, other = _kept(saved), _kept(saved, 5)
    assert before.plan is not None
    assert _all_text(saved).lower().replace(OTHER.lower(), "").count(NAME.lower()) > 10
    assert forget_patient(saved, NAME) == NEUTRAL
    assert NAME.lower() not in _all_text(saved).lower().replace(OTHER.lower(), "")
    after = _kept(saved)
    assert after.plan is not None
    assert verify(after.day, after.plan) == []
    assert report(after.day, after.plan) == report(before.day, before.plan)
    assert [visit.patient for visit in after.day.visits] == [NEUTRAL, OTHER, NEUTRAL]
    assert [visit.id for visit in after.day.visits] == [f"{NEUTRAL}-1", "V2", "V3"]
    assert [visit.id for visit in after.day.published] == [f"{NEUTRAL}-1"]
    assert plan_document(after.plan)["scores"] == plan_document(before.plan)["scores"]
    assert _kept(saved, 5) == other


def test_notes_keep_their_minutes(saved: Store) -> None:
    forget_patient(saved, NAME)
    with saved.reading() as session:
        details = session.exec(select(LiveEvent.detail).order_by(LiveEvent.id)).all()  # type: ignore[arg-type]
    asked = "Is there a pacemaker?"
    assert details == [
        {"note": "", "minutes": 5, "decision": "go", "answers": {asked: ""}},
        {"note": f"bay swapped with {NEUTRAL}", "minutes": 5, "decision": "go", "answers": {asked: "yes"}},
    ]


def test_it_is_audited_without_the_name_and_the_audit_is_guarded_again(saved: Store) -> None:
    forget_patient(saved, NAME)
    with saved.reading() as session:
        rows = session.exec(select(Audit).where(Audit.action == "forgot").order_by(Audit.id)).all()  # type: ignore[arg-type]
    said = [(row.record, row.day_version, row.after) for row in rows]
    assert said == [
        ("day 2031-03-04", 3, {"a patient's name": NEUTRAL}),
        ("patient 1", None, {"code": NEUTRAL, "visits": 3}),
    ]
    for table in ("audit", "live_event"):
        for change in (f"UPDATE {table} SET day_id = NULL", f"DELETE FROM {table}"):
            with pytest.raises(StoreError, match="only added"), saved.writing() as session:
                session.connection().execute(text(change))


def test_whoever_read_the_day_before_cannot_write_the_name_back(saved: Store) -> None:
    before = _kept(saved)
    forget_patient(saved, NAME)
    with pytest.raises(StaleDayError) as stale:
        save_day(saved, replace(before.day, close=13 * 60), None, read=before.version, actor="desk")
    assert stale.value.changes == ("version 3, channelday forget-patient: a patient's name changed",)


@pytest.mark.parametrize("made_data", ["sqlite"], indirect=True)
def test_no_byte_of_the_file_has_the_name(saved: Store) -> None:
    path = saved.path
    assert path is not None
    reader = open_database(str(path))
    assert _kept(reader).version == 2
    assert NAME.encode() in _bytes_of(path)
    forget_patient(saved, NAME)
    assert NAME.encode() not in _bytes_of(path).replace(OTHER.encode(), b"")
    assert _kept(reader).version == 3
    reader.close()


def _bytes_of(path: Path) -> bytes:
    """The file, and all that lies beside it."""
    return b"".join(file.read_bytes() for file in path.parent.iterdir() if file.name.startswith(path.name))


@pytest.mark.parametrize("made_data", ["sqlite"], indirect=True)
def test_pages_that_others_read_are_erased_later(saved: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("app.db.sqlite.BUSY_MS", 50)
    reader = open_database(str(saved.path))
    with reader.reading() as session:
        assert session.exec(select(Patient.code)).all()
        with pytest.raises(StoreError, match=f"the patient is forgotten, but .* forget-patient {NEUTRAL}$"):
            forget_patient(saved, NAME)
    reader.close()
    versions = _kept(saved).version
    assert forget_patient(saved, NEUTRAL) == NEUTRAL
    assert _kept(saved).version == versions
    assert saved.path is not None
    assert NAME.encode() not in _bytes_of(saved.path).replace(OTHER.encode(), b"")


@pytest.mark.parametrize("code", ["7", "T1", "V2", "in"])
def test_a_code_that_is_no_name_is_replaced_for_the_patient_only(code: str, file_store: Store) -> None:
    visits = (a_visit(id="V1", patient=code), a_visit(id="V2", patient=OTHER))
    day = a_day(*visits)
    save_day(file_store, day, a_plan(day, placed(visits[0], "09:07")), read=0, actor="test")
    with file_store.reading() as session:
        before = session.exec(select(Audit).order_by(Audit.id)).all()  # type: ignore[arg-type]
    forget_patient(file_store, code)
    with file_store.reading() as session:
        assert session.exec(select(Audit).order_by(Audit.id)).all()[: len(before)] == before  # type: ignore[arg-type]
    assert _kept(file_store).day == replace(day, visits=(replace(visits[0], patient=NEUTRAL), visits[1]))


def test_a_patient_is_named_by_code_or_by_id(saved: Store) -> None:
    assert patient_meant(saved, NAME).visits == 3
    assert patient_meant(saved, "2").code == OTHER
    for nobody in ("Nobody", "99", "²", "9" * 30):
        with pytest.raises(InputError, match="there is no such patient"):
            forget_patient(saved, nobody)


@pytest.mark.parametrize("made_data", ["sqlite"], indirect=True)
@pytest.mark.parametrize(("answer", "code"), [("", 1), ("no\n", 1), ("yes\n", 0)])
def test_the_command_asks_first(
    answer: str, code: int, data: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO(answer))
    assert run(["forget-patient", NAME, "--data", data]) == code
    said = capsys.readouterr().out
    assert said.startswith(f"Forget the patient '{NAME}' (3 visits)?")
    assert ("Backups made before" in said) == (code == 0)
    store = open_database(data)
    assert (NAME in _all_text(store).replace(OTHER, "")) == (code != 0)
    store.close()


def test_the_command_asks_nothing_where_it_is_told_so(data: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["forget-patient", "1", "--yes", "--data", data]) == 0
    said = f"The patient is {NEUTRAL} now. Backups made before, and exported files, still hold the name."
    assert capsys.readouterr().out == f"{said}\n"


def test_every_column_with_text_is_thought_of() -> None:
    left = {name for names in NO_WORDS for name in names.split()}
    for name, table in SQLModel.metadata.tables.items():
        texts = {c.name for c in table.columns if isinstance(getattr(c.type, "impl_instance", c.type), String | JSON)}
        if texts:
            assert name in left or name in WRITTEN, f"{name} has texts {sorted(texts)}: may they name a patient?"
