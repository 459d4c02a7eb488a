"""The waiting list: who is on it, in which order, and who fits what became free, asked of the exact offers."""

from dataclasses import replace
from datetime import UTC, datetime

import pytest
from sqlmodel import col, select

from app.db.store import Store
from app.errors import StaleRecordError
from app.models import Patient, Treatment, TreatmentVersion, Waiting
from app.queries.clinics import the_clinic
from app.services.days import save_day
from app.services.visits.gaps import Fit, fitting_for, free_gaps
from app.services.visits.life import step
from app.services.visits.waiting import WaitingForm, change, put_on, take_off, waiting_list
from solver.errors import InputError
from solver.offers import offers
from tests.builders import A_DATE, a_part, a_therapist, a_visit, hands_on
from tests.data.visit_clinic import present, save_three

EARLY = datetime(2031, 3, 4, 8, tzinfo=UTC)
MONDAY, TUESDAY = "0", "1"


@pytest.fixture
def ids(store: Store) -> dict[str, int]:
    """The rows of the three visits; the treatment they have is in the catalogue as number 1, ten minutes of hands."""
    found = save_three(store)
    with store.writing() as session:
        treatment = session.exec(select(Treatment).order_by(col(Treatment.id))).first()
        assert treatment is not None
        treatment.code, treatment.name = "hands", "Ten minutes"
        clinic_id = the_clinic(session).id or 0
        session.add_all(
            Patient(clinic_id=clinic_id, code=f"W{i}", name=name) for i, name in enumerate(("Eva One", "Fay Two"))
        )
        version = session.exec(select(TreatmentVersion)).first()
        assert version is not None
        assert version.treatment_id == treatment.id
    return found


def a_form(store: Store, patient: str = "Eva One", **more: object) -> WaitingForm:
    with store.reading() as session:
        id = session.exec(select(Patient.id).where(Patient.name == patient)).one()
    return WaitingForm(**{"patient": str(id), "treatment": "1", **more})  # type: ignore[arg-type]


def cancel(store: Store, id: int) -> tuple[Fit, ...]:
    step(store, id, "cancelled", "is ill", seen=0, actor="desk one")
    return fitting_for(store, id)


def test_the_list_goes_by_priority_then_by_time_waited(store: Store, ids: dict[str, int]) -> None:
    put_on(store, a_form(store, "Eva One"), actor="desk", at=datetime(2031, 2, 2, tzinfo=UTC))
    put_on(store, a_form(store, "Fay Two"), actor="desk", at=datetime(2031, 2, 1, tzinfo=UTC))
    put_on(store, a_form(store, "Ann Early", priority="2"), actor="desk", at=datetime(2031, 2, 3, tzinfo=UTC))
    assert [line.patient for line in waiting_list(store)] == ["Ann Early", "Fay Two", "Eva One"]
    fits = cancel(store, ids["V2"])
    assert [fit.patient for fit in fits] == ["Ann Early", "Fay Two", "Eva One"]


def test_the_offer_is_the_one_that_meets_the_free_minutes_best(store: Store, ids: dict[str, int]) -> None:
    put_on(store, a_form(store), actor="desk")
    (fit,) = cancel(store, ids["V2"])
    assert (fit.when.start, fit.when.end, fit.overlap) == (570, 580, 10)
    now = present(store)
    assert now.plan is not None
    exact = offers(now.day, now.plan, a_visit(a_part(hands_on(10)), id="W", patient="W0"))
    assert 570 in [offer.parts[0].start for offer in exact]
    assert 540 not in [offer.parts[0].start for offer in exact]


@pytest.mark.parametrize(
    ("form", "fits"),
    [
        ({"weekdays": (TUESDAY,)}, True),
        ({"weekdays": (MONDAY,)}, False),
        ({"hours": "13:00-14:00"}, False),
        ({"hours": "09:00-09:40, 14:00-15:00"}, True),
        ({"therapist": "T1"}, True),
    ],
)
def test_who_cannot_come_then_does_not_fit(
    store: Store, ids: dict[str, int], form: dict[str, object], fits: bool
) -> None:
    """4 March 2031 is a Tuesday."""
    put_on(store, replace(a_form(store), **form), actor="desk")  # type: ignore[arg-type]
    assert bool(cancel(store, ids["V2"])) == fits


def test_an_offer_that_meets_a_part_of_the_gap_is_the_best_where_no_other_meets_more(
    store: Store, ids: dict[str, int]
) -> None:
    put_on(store, a_form(store, hours="9:00-9:35"), actor="desk")
    (fit,) = cancel(store, ids["V2"])
    assert (fit.when.start, fit.overlap) == (565, 5)


def test_of_equal_offers_the_one_with_the_wished_therapist_is_told_else_that_it_is_not(
    store: Store, ids: dict[str, int]
) -> None:
    """Two are there, and then from 09:30 on T2 alone."""
    put_on(store, a_form(store, therapist="T1", hours="09:25-09:45"), actor="desk")
    cancel(store, ids["V2"])
    now = present(store)
    for n, hours in enumerate(("09:00-12:00", "09:00-09:30")):
        day = replace(now.day, staff=(a_therapist("T1", hours=hours), a_therapist("T2")))
        save_day(store, day, now.plan, read=now.version + n, actor="desk")
        if n == 0:
            put_on(store, a_form(store, "Fay Two", therapist="T2", hours="09:25-09:45"), actor="desk")
        fits = fitting_for(store, ids["V2"])
        assert [(fit.when.start, fit.overlap) for fit in fits] == [(570, 10), (570, 10)]
        assert [fit.not_with for fit in fits] == ["T1" if n else "", ""]


def test_a_patient_who_is_elsewhere_then_does_not_fit(store: Store, ids: dict[str, int]) -> None:
    put_on(store, a_form(store, "Ann Early", hours="09:00-09:12"), actor="desk")
    assert cancel(store, ids["V2"]) == ()


def test_a_date_has_every_gap_and_none_of_what_was_taken_back(store: Store, ids: dict[str, int]) -> None:
    put_on(store, a_form(store), actor="desk")
    step(store, ids["V2"], "noshow", seen=0, actor="desk one", at=EARLY)
    step(store, ids["V1"], "cancelled", "is ill", seen=0, actor="desk one")
    gaps = free_gaps(store, A_DATE)
    assert [(gap.visit_id, gap.when.start, len(gap.fits)) for gap in gaps] == [(ids["V1"], 540, 1), (ids["V2"], 570, 1)]
    assert free_gaps(store, A_DATE.replace(day=5)) == ()


def test_since_when_is_told_by_the_clinics_clock(store: Store, ids: dict[str, int]) -> None:
    """In Dublin it is an hour past midnight by then."""
    put_on(store, a_form(store), actor="desk", at=datetime(2031, 7, 1, 23, 30, tzinfo=UTC))
    assert waiting_list(store)[0].since.date().isoformat() == "2031-07-02"
    assert [fit.since.date().isoformat() for fit in cancel(store, ids["V2"])] == ["2031-07-02"]


def test_what_is_filled_in_wrong_is_said_at_its_field(store: Store, ids: dict[str, int]) -> None:
    with pytest.raises(InputError) as caught:
        put_on(
            store,
            WaitingForm(patient="999", treatment="7", priority="0", weekdays=("9",), hours="9", therapist="X"),
            actor="desk",
        )
    where = {fault.where.split("[")[0] for fault in caught.value.faults}
    assert where == {"patient", "treatment", "priority", "weekdays", "hours", "therapist"}
    assert waiting_list(store) == []


def test_an_entry_is_changed_once_and_taken_off(store: Store, ids: dict[str, int]) -> None:
    id = put_on(store, a_form(store), actor="desk")
    change(store, id, a_form(store, priority="3", note="rings first"), read=1, actor="desk")
    with pytest.raises(StaleRecordError):
        change(store, id, a_form(store, priority="4"), read=1, actor="other")
    (line,) = waiting_list(store)
    assert (line.priority, line.note, line.version) == (3, "rings first", 2)
    take_off(store, id, read=2, actor="desk")
    assert waiting_list(store) == []
    with pytest.raises(InputError, match="not on the list"):
        take_off(store, id, read=2, actor="desk")
    with store.reading() as session:
        assert session.exec(select(Waiting.is_removed)).all() == [True]


@pytest.mark.parametrize("patient", ["", "Eva One", "999", "9" * 30])
def test_somebody_who_is_not_chosen_is_not_put_on(store: Store, ids: dict[str, int], patient: str) -> None:
    with pytest.raises(InputError, match="nobody is chosen"):
        put_on(store, WaitingForm(patient=patient, treatment="1"), actor="desk")
    assert waiting_list(store) == []


def test_somebody_whose_data_were_removed_is_not_put_on(store: Store, ids: dict[str, int]) -> None:
    form = a_form(store)
    with store.writing() as session:
        session.exec(select(Patient).where(Patient.name == "Eva One")).one().name = ""
    with pytest.raises(InputError, match="nobody is chosen"):
        put_on(store, form, actor="desk")
