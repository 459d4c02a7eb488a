"""What becomes of a visit: which step may follow which, what leaves the day, and what comes back; on both databases."""

from datetime import UTC, datetime

import pytest
from sqlalchemy import text
from sqlmodel import select

from app.db.store import Store
from app.errors import StaleDayError, StaleRecordError, StoreError
from app.models import Audit, BookedVisit, VisitStatus
from app.models.visit_status import STATUSES
from app.queries.clinics import the_clinic
from app.queries.visit_life import known_visit, visits_with_status
from app.services.days import save_day
from app.services.placing import with_visit
from app.services.visits.life import step, take_back, tell
from app.services.visits.steps import NEXT
from solver.errors import InputError
from tests.builders import a_part, a_visit, hands_on, placed
from tests.data.visit_clinic import present, save_three

PUBLISHED = {
    "proposed",
    "pending",
    "booked",
    "arrived",
    "fulfilled",
    "cancelled",
    "noshow",
    "entered-in-error",
    "checked-in",
    "waitlist",
}
"""HL7 FHIR R4, value set AppointmentStatus, http://hl7.org/fhir/R4/valueset-appointmentstatus.html."""
EARLY, LATE = datetime(2031, 3, 4, 8, tzinfo=UTC), datetime(2031, 3, 4, 18, tzinfo=UTC)


def status_of(store: Store, id: int) -> str:
    with store.reading() as session:
        known = known_visit(session, the_clinic(session).id or 0, id)
        assert known is not None
        return known.status


def placed_codes(store: Store) -> list[str]:
    plan = present(store).plan
    assert plan is not None
    return [visit.id for visit in plan.visits]


def test_the_words_are_the_published_ones() -> None:
    assert set(STATUSES) == PUBLISHED
    assert NEXT.keys() | {after for every in NEXT.values() for after in every} <= PUBLISHED


def test_the_database_takes_no_other_word(store: Store) -> None:
    ids = save_three(store)
    with pytest.raises(StoreError, match="status"), store.writing() as session:
        session.add(VisitStatus(visit_id=ids["V1"], status="missed", at=EARLY, actor="x"))


@pytest.mark.parametrize("statement", ["UPDATE visit_status SET reason = 'x'", "DELETE FROM visit_status"])
def test_the_history_is_only_added_to(store: Store, statement: str) -> None:
    step(store, save_three(store)["V1"], "arrived", seen=0, actor="desk one")
    with pytest.raises(StoreError, match="only added"), store.writing() as session:
        session.connection().execute(text(statement))


def test_a_cancelled_visit_leaves_plan_and_day_and_stays_in_the_records(store: Store) -> None:
    ids = save_three(store)
    step(store, ids["V1"], "cancelled", "is ill", seen=0, actor="desk one")
    now = present(store)
    assert ([visit.id for visit in now.day.visits], placed_codes(store)) == (["V2", "V3"], ["V2"])
    assert now.version == 2
    with store.reading() as session:
        row = session.get(BookedVisit, ids["V1"])
        assert row is not None
        assert row.is_removed
        found = visits_with_status(session, row.day_id, {"cancelled"})
        assert [(known.id, known.history[0].reason, known.history[0].actor) for known in found] == [
            (ids["V1"], "is ill", "desk one")
        ]
        audits = session.exec(select(Audit).where(Audit.record == f"visit {ids['V1']}")).all()
        assert [(audit.before, audit.after) for audit in audits] == [({"status": "booked"}, {"status": "cancelled"})]


def test_a_cancelled_visit_comes_back_where_it_was_with_what_was_told(store: Store) -> None:
    ids = save_three(store)
    tell(store, ids["V1"], seen=0, read=1, actor="desk one")
    before = present(store)
    step(store, ids["V1"], "cancelled", "is ill", seen=0, actor="desk one")
    assert present(store).day.published == ()
    take_back(store, ids["V1"], seen=1, actor="desk two")
    after = present(store)
    assert before.plan is not None
    assert after.plan is not None
    assert {one.id: one for one in after.plan.visits} == {one.id: one for one in before.plan.visits}
    assert {one.id: one for one in after.day.visits} == {one.id: one for one in before.day.visits}
    assert after.day.published == before.day.published
    assert status_of(store, ids["V1"]) == "booked"
    with store.reading() as session:
        known = known_visit(session, the_clinic(session).id or 0, ids["V1"])
        assert known is not None
        assert [step.status for step in known.history] == ["cancelled", "booked"]
        old = session.get(BookedVisit, ids["V1"])
        assert old is not None
        assert known.row.treatment_version_id == old.treatment_version_id
    step(store, ids["V1"], "arrived", seen=2, actor="desk one")
    assert status_of(store, ids["V1"]) == "arrived"


def test_a_visit_whose_time_is_given_away_does_not_come_back(store: Store) -> None:
    ids = save_three(store)
    step(store, ids["V1"], "cancelled", "is ill", seen=0, actor="desk one")
    now = present(store)
    other = a_visit(a_part(hands_on(10)), id="V9", patient="Dee New")
    day, plan = with_visit(now.day, now.plan, other, placed(other, "09:05"))
    save_day(store, day, plan, read=now.version, actor="desk two")
    with pytest.raises(InputError, match="somebody else's"):
        take_back(store, ids["V1"], seen=1, actor="desk one")
    assert status_of(store, ids["V1"]) == "cancelled"
    assert placed_codes(store) == ["V2", "V9"]


def test_who_did_not_come_frees_what_is_left_of_the_time_and_nothing_that_is_over(store: Store) -> None:
    ids = save_three(store)
    step(store, ids["V1"], "noshow", seen=0, actor="desk one", at=EARLY)
    step(store, ids["V2"], "noshow", seen=0, actor="desk one", at=LATE)
    assert placed_codes(store) == ["V2"]
    take_back(store, ids["V2"], seen=1, actor="desk one")
    take_back(store, ids["V1"], seen=1, actor="desk one")
    assert sorted(placed_codes(store)) == ["V1", "V2"]


@pytest.mark.parametrize("first", sorted(NEXT))
def test_only_what_the_table_says_may_follow(store: Store, first: str) -> None:
    ids = save_three(store)
    path = {"booked": (), "fulfilled": ("arrived", "fulfilled")}.get(first, (first,))
    for number, status in enumerate(path):
        step(store, ids["V1"], status, "a reason", seen=number, actor="desk one", at=LATE)
    for status in set(STATUSES) - NEXT[first]:
        with pytest.raises(InputError, match="cannot follow"):
            step(store, ids["V1"], status, "a reason", seen=len(path), actor="desk one", at=LATE)
    assert status_of(store, ids["V1"]) == first


def test_a_cancellation_needs_a_reason(store: Store) -> None:
    ids = save_three(store)
    with pytest.raises(InputError, match="reason"):
        step(store, ids["V1"], "cancelled", " ", seen=0, actor="desk one")
    assert present(store).version == 1


def test_the_second_of_two_desks_is_told(store: Store) -> None:
    ids = save_three(store)
    step(store, ids["V1"], "cancelled", "is ill", seen=0, actor="desk one")
    with pytest.raises(StaleRecordError):
        step(store, ids["V1"], "arrived", seen=0, actor="desk two")


def test_telling_keeps_what_is_proved_and_is_of_the_version_that_was_read(store: Store) -> None:
    ids = save_three(store)
    before = present(store).plan
    tell(store, ids["V2"], seen=0, read=1, actor="desk one")
    now = present(store)
    assert now.plan == before
    assert [told.id for told in now.day.published] == ["V2"]
    with pytest.raises(StaleDayError):
        tell(store, ids["V1"], seen=0, read=1, actor="desk two")
    with pytest.raises(InputError, match="no plan"):
        tell(store, ids["V3"], seen=0, read=2, actor="desk two")


def test_a_visit_that_there_is_none_of_is_said(store: Store) -> None:
    with pytest.raises(InputError, match="no such visit"):
        step(store, 99, "arrived", seen=0, actor="desk one")
