"""Upkeep is only added to: what stands last of each kind, what is due on which date, what is refused."""

from datetime import date, timedelta
from typing import Any

import pytest
from sqlalchemy import text
from sqlmodel import col, select

from app.db.store import Store
from app.errors import StoreError
from app.models import Audit
from app.services.upkeep.noting import UpkeepForm, note_upkeep, take_back_upkeep
from app.services.upkeep.records import due_on, noted_within
from solver.errors import InputError
from tests.data.set_up_clinic import TODAY

DONE, DUE = TODAY - timedelta(days=30), TODAY + timedelta(days=10)


def _note(store: Store, **given: Any) -> int:
    asked = {"thing": "unit:U1", "kind": "safety test", "done": DONE.isoformat(), "due": DUE.isoformat(), **given}
    return note_upkeep(store, UpkeepForm(**asked), actor="tests", today=TODAY)


def _due(store: Store, on: date) -> list[tuple[str, str, bool]]:
    return [(one.thing.code, one.kind, one.overdue) for one in due_on(store, on)]


def test_it_is_due_on_its_date_and_overdue_from_the_next(clinic: Store) -> None:
    assert _due(clinic, DUE) == []
    _note(clinic)
    assert _due(clinic, DUE - timedelta(days=1)) == []
    assert _due(clinic, DUE) == [("U1", "safety test", False)]
    assert _due(clinic, DUE + timedelta(days=1)) == [("U1", "safety test", True)]
    assert _due(clinic, DONE - timedelta(days=1)) == []


def test_a_newer_one_ends_it_and_the_days_before_it_stay_as_they_were(clinic: Store) -> None:
    _note(clinic, done="2030-01-01", due="2030-06-01")
    _note(clinic, done="2030-07-01", due="")
    assert _due(clinic, date(2030, 6, 15)) == [("U1", "safety test", True)]
    assert _due(clinic, date(2030, 7, 1)) == _due(clinic, TODAY) == []
    _note(clinic, done="2030-03-01", due="2030-04-01", note="noted later, done before")
    assert _due(clinic, TODAY) == []
    assert _due(clinic, date(2030, 4, 2)) == [("U1", "safety test", True)]


def test_each_kind_and_each_thing_counts_for_itself(clinic: Store) -> None:
    _note(clinic)
    _note(clinic, kind="calibration", due=(DUE - timedelta(days=1)).isoformat())
    _note(clinic, thing="unit:U2", kind="service", due="")
    _note(clinic, thing="item:heads-2", kind="calibration")
    assert _due(clinic, DUE) == [
        ("U1", "safety test", False),
        ("U1", "calibration", True),
        ("heads-2", "calibration", False),
    ]


def test_what_is_taken_back_counts_no_more_and_stays_in_the_record(clinic: Store) -> None:
    first = _note(clinic, done="2030-01-01", due="2031-01-01")
    second = _note(clinic)
    take_back_upkeep(clinic, second, actor="tests")
    assert _due(clinic, TODAY) == [("U1", "safety test", True)]
    with clinic.reading() as session:
        noted = noted_within(session, 1)
        audits = [
            (row.action, row.record) for row in session.exec(select(Audit).where(col(Audit.action).contains("upkeep")))
        ]
    assert [(one.id, one.taken_back) for one in noted] == [(first, False), (second, True)]
    assert audits == [("noted upkeep of", "unit U1")] * 2 + [("took back upkeep of", "unit U1")]
    with pytest.raises(InputError, match="not in the record any more"):
        take_back_upkeep(clinic, second, actor="tests")
    with pytest.raises(InputError, match="not in the record any more"):
        take_back_upkeep(clinic, 999, actor="tests")


@pytest.mark.parametrize("statement", ["UPDATE upkeep SET note = 'x'", "DELETE FROM upkeep"])
def test_the_database_refuses_to_overwrite_it(clinic: Store, statement: str) -> None:
    _note(clinic)
    with pytest.raises(StoreError, match="rows of upkeep are only added"), clinic.writing() as session:
        session.connection().execute(text(statement))


@pytest.mark.parametrize(
    ("given", "where"),
    [
        ({"thing": "unit:nothing"}, "thing"),
        ({"thing": ""}, "thing"),
        ({"thing": "item:U1"}, "thing"),
        ({"kind": "polish"}, "kind"),
        ({"done": "yesterday"}, "done"),
        ({"done": (TODAY + timedelta(days=1)).isoformat()}, "done"),
        ({"done": "1066-10-14"}, "done"),
        ({"due": DONE.isoformat()}, "due"),
        ({"due": "soon"}, "due"),
        ({"due": "9999-01-01"}, "due"),
        ({"note": "x" * 2000}, "note"),
        ({"note": "a\0b"}, "note"),
    ],
)
def test_what_is_wrong_is_said_at_its_field_and_nothing_is_kept(
    clinic: Store, given: dict[str, str], where: str
) -> None:
    with pytest.raises(InputError) as refused:
        _note(clinic, **given)
    assert [fault.where for fault in refused.value.faults] == [where]
    with clinic.reading() as session:
        assert noted_within(session, 1) == ()


def test_the_same_twice_is_one(clinic: Store) -> None:
    id = _note(clinic)
    with pytest.raises(InputError, match="noted already"):
        _note(clinic)
    take_back_upkeep(clinic, id, actor="tests")
    _note(clinic)
