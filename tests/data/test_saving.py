"""The one write path: versions, stale writes, wrong plans, and what the database itself refuses, on both databases."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import pytest
from sqlalchemy import delete, insert, text, update
from sqlmodel import Session, SQLModel, col, select

from app.db.store import Store
from app.errors import StaleDayError, StoreError
from app.models import (
    Audit,
    BookedVisit,
    ClinicDay,
    HeldChannel,
    HeldHands,
    HeldItem,
    PartPlaced,
    PlannedBreak,
    SavedPlan,
    TreatmentVersion,
)
from app.queries import plan_writing
from app.services.days import kept_day, save_day
from solver.errors import PlanRefusedError
from solver.problem import Day
from solver.schedule import Plan
from tests.builders import (
    A_DATE,
    a_break,
    a_break_taken,
    a_day,
    a_part,
    a_plan,
    a_therapist,
    a_visit,
    an_infeasible_plan,
    hands_on,
    placed,
)

ANN = a_visit(a_part(hands_on(10), applicators={"heads": 1}), id="V1", patient="Ann Early")
BEA = a_visit(a_part(hands_on(10)), id="V2", patient="Bea Later")
DAY = a_day(ANN, BEA, staff=(a_therapist(breaks=(a_break(15, "11:00-12:00"),)),))


def _plan(day: Day = DAY, ann: str = "09:00", bea: str = "09:30") -> Plan:
    breaks = (a_break_taken(start="11:00"),)
    return a_plan(day, placed(day.visits[0], ann), placed(day.visits[1], bea), breaks=breaks)


def _save(store: Store, day: Day, plan: Plan | None, read: int) -> int:
    return save_day(store, day, plan, read=read, actor="desk one")


def _current(store: Store) -> tuple[int, Plan | None]:
    kept = kept_day(store, A_DATE)
    assert kept is not None
    return kept.version, kept.plan


def test_every_save_is_a_version_and_the_plans_before_it_stay(store: Store) -> None:
    assert _save(store, DAY, None, 0) == 1
    assert _save(store, DAY, _plan(), 1) == 2
    assert _save(store, DAY, _plan(ann="09:10"), 2) == 3
    with store.reading() as session:
        plans = session.exec(select(SavedPlan).order_by(col(SavedPlan.version))).all()
        assert [(plan.version, plan.is_current) for plan in plans] == [(2, False), (3, True)]
        for table in (PartPlaced, HeldChannel, HeldHands, HeldItem, PlannedBreak):
            held = {(row.plan_id, row.is_current) for row in session.exec(select(table))}  # type: ignore[attr-defined]
            assert held == {(plans[0].id, False), (plans[1].id, True)}


def test_a_save_that_changes_nothing_is_no_version(store: Store) -> None:
    _save(store, DAY, _plan(), 0)
    assert _save(store, DAY, _plan(), 1) == 1
    assert _save(store, DAY, None, 1) == 1


def test_a_stale_write_is_refused_and_told_what_changed(store: Store) -> None:
    _save(store, DAY, _plan(), 0)
    cy = a_visit(a_part(hands_on(5)), id="V3", patient="Cy Two")
    wider = replace(DAY, visits=(*DAY.visits, cy), move_min=5)
    moved = a_plan(wider, *_plan(ann="09:10").visits, placed(cy, "10:00"), breaks=(a_break_taken(start="11:00"),))
    save_day(store, wider, moved, read=1, actor="desk two")
    with pytest.raises(StaleDayError) as caught:
        _save(store, DAY, _plan(bea="09:40"), 1)
    assert str(caught.value) == "2031-03-04 was read as version 1 and is version 2 by now; read it again"
    assert list(caught.value.changes) == [
        "version 2, desk two: move_min changed",
        "version 2, desk two: V3 was asked for",
        "version 2, desk two: V1 moved from 09:00 on U1 in F1 with T1 to 09:10 on U1 in F1 with T1",
        "version 2, desk two: V3 is placed at 10:00 on U1 in F1 with T1",
    ]
    assert _current(store) == (2, moved)


def test_a_day_that_somebody_else_made_first_is_stale(store: Store) -> None:
    _save(store, DAY, None, 0)
    with pytest.raises(StaleDayError, match="was read as version 0 and is version 1"):
        _save(store, DAY, _plan(), 0)


@pytest.mark.parametrize(
    ("plan", "line"),
    [
        (_plan(bea="09:05"), "channels: "),
        (replace(_plan(), scores={**_plan().scores, "finish": 1}), "scores: "),
        (a_plan(DAY, *_plan().visits), "break: "),
        (an_infeasible_plan(DAY), "status: "),
    ],
)
def test_a_plan_that_is_not_right_is_not_kept(store: Store, plan: Plan, line: str) -> None:
    _save(store, DAY, _plan(), 0)
    with pytest.raises(PlanRefusedError) as caught:
        _save(store, DAY, plan, 1)
    assert any(said.startswith(line) for said in caught.value.lines)
    assert _current(store) == (1, _plan())


def test_what_fails_on_the_way_leaves_nothing(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    _save(store, DAY, _plan(), 0)

    def fails(*_: object) -> None:
        raise RuntimeError("the lights went out")

    monkeypatch.setattr(plan_writing, "_insert", fails)
    with pytest.raises(RuntimeError):
        _save(store, DAY, _plan(ann="10:00"), 1)
    assert _current(store) == (1, _plan())
    with store.reading() as session:
        assert len(session.exec(select(Audit).where(Audit.action == "saved")).all()) == 1


def test_a_changed_visit_keeps_its_treatment_in_the_plans_before(store: Store) -> None:
    _save(store, DAY, _plan(), 0)
    longer = replace(DAY, visits=(replace(ANN, parts=(a_part(hands_on(20), id="p1"),)), BEA))
    _save(store, longer, _plan(longer), 1)
    with store.reading() as session:
        rows = session.exec(select(BookedVisit).where(BookedVisit.code == "V1").order_by(col(BookedVisit.id))).all()
        assert [row.is_removed for row in rows] == [True, False]
        assert rows[0].treatment_version_id != rows[1].treatment_version_id
        assert len(session.exec(select(TreatmentVersion)).all()) == 3
        ends = {row.visit_id: row.end_min for row in session.exec(select(PartPlaced))}
        assert (ends[rows[0].id or 0], ends[rows[1].id or 0]) == (550, 560)


def test_the_audit_says_before_and_after_and_no_patient(store: Store) -> None:
    _save(store, DAY, _plan(), 0)
    _save(store, DAY, _plan(ann="09:10"), 1)
    with store.reading() as session:
        first, second = session.exec(select(Audit).where(Audit.action == "saved").order_by(col(Audit.id)))
        assert (second.actor, second.record, second.day_version) == ("desk one", "day 2031-03-04", 2)
        assert second.before == {"placed": {"V1": "09:00 on U1 in F1 with T1"}}
        assert second.after == {"placed": {"V1": "09:10 on U1 in F1 with T1"}}
        assert "Ann" not in f"{first.before}{first.after}"


def _copied(session: Session, table: type[SQLModel], change: Mapping[str, Any]) -> None:
    """Add the first row of the table again, changed; past everything that the program checks."""
    row = session.exec(select(table).order_by(text("start_min"))).first()
    assert row is not None
    session.connection().execute(insert(table), [{**row.model_dump(), **change}])


@pytest.mark.parametrize(
    ("table", "change"),
    [
        (HeldChannel, {"position": 9}),
        (HeldItem, {"position": 9}),
        (PartPlaced, {}),
        (HeldHands, {"phase": 9}),
        (PlannedBreak, {"position": 9, "start_min": 674, "end_min": 680}),
    ],
)
def test_the_database_itself_refuses_an_overlap(store: Store, table: type[SQLModel], change: dict[str, Any]) -> None:
    """Bea's part, put at Ann's minutes, would hold what Ann's holds; a second break would meet the first."""
    _save(store, DAY, _plan(), 0)
    with store.writing() as session:
        ann, bea = session.exec(select(PartPlaced).order_by(col(PartPlaced.start_min)))
        if table is not PlannedBreak:
            # Bea's part is in another bay, off the channel and out of the hands, so that only the row below clashes.
            of_bea = {"visit_id": bea.visit_id}
            for held in (HeldChannel, HeldHands):
                session.connection().execute(delete(held).where(col(held.visit_id) == bea.visit_id))
            bay = {} if table is PartPlaced else {"bay_id": _other_bay(session, bea.bay_id)}
            moved = {"start_min": 545, "end_min": 555, **bay}
            change = {**change, **of_bea, "start_min": 545, "end_min": 555}
            if table is PartPlaced:
                session.connection().execute(text("DELETE FROM part_placed WHERE visit_id = :id"), {"id": bea.visit_id})
            else:
                at_bea = update(PartPlaced).where(col(PartPlaced.visit_id) == bea.visit_id)
                session.connection().execute(at_bea.values(**moved))
        assert ann.start_min == 540
    with pytest.raises(StoreError, match=f"overlap.*{table.__tablename__}"), store.writing() as session:
        _copied(session, table, change)
    touching = {"start_min": change["start_min"] + 5 if table is not PlannedBreak else 675}
    touching["end_min"] = touching["start_min"] + 10
    with store.writing() as session:
        if table not in (PlannedBreak, PartPlaced):
            at_bea = update(PartPlaced).where(col(PartPlaced.visit_id) == change["visit_id"])
            session.connection().execute(at_bea.values(**touching))
        _copied(session, table, {**change, **touching})


def _other_bay(session: Session, bay_id: int) -> int:
    found = session.connection().execute(text("SELECT id FROM bay WHERE id <> :id"), {"id": bay_id}).scalars().first()
    assert isinstance(found, int)
    return found


def test_the_database_itself_refuses_to_move_a_row_onto_another(store: Store) -> None:
    _save(store, DAY, _plan(), 0)
    with pytest.raises(StoreError, match="overlap"), store.writing() as session:
        session.connection().execute(
            text("UPDATE part_placed SET start_min = 545, end_min = 555 WHERE start_min = 570")
        )


def test_the_database_itself_refuses_a_second_current_plan(store: Store) -> None:
    _save(store, DAY, _plan(), 0)
    _save(store, DAY, _plan(ann="09:10"), 1)
    with pytest.raises(StoreError), store.writing() as session:
        session.connection().execute(text("UPDATE saved_plan SET is_current = true"))


def test_the_database_itself_refuses_a_row_that_says_otherwise_than_its_plan(store: Store) -> None:
    _save(store, DAY, _plan(), 0)
    with pytest.raises(StoreError), store.writing() as session:
        session.connection().execute(text("UPDATE held_channel SET is_current = false"))
    with pytest.raises(StoreError), store.writing() as session:
        session.connection().execute(text("UPDATE held_channel SET start_min = start_min + 1"))


def test_a_clock_change_changes_no_plan(store: Store) -> None:
    """The last Sunday of March 2031: 01:00 to 02:00 is not there in Dublin (IANA time zone database, file europe)."""
    day = replace(DAY, date=A_DATE.replace(day=30))
    _save(store, day, replace(_plan(), date=day.date), 0)
    kept = kept_day(store, day.date)
    assert kept is not None
    assert kept.plan == replace(_plan(), date=day.date)
    with store.reading() as session:
        assert session.exec(select(ClinicDay.time_zone)).one() == "Europe/Dublin"
