"""The page on capacity over HTTP: what it says of a week that is full and of one that is not, CSV, weeks, and roles."""

import csv
import io
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

import pytest

from app.roles import Role
from app.services.patients import make_patient
from app.services.setup.clinic_changes import SaveClosure
from app.services.setup.filled import filled_set_up
from app.services.setup.forms import ClosureForm
from app.services.treatments.writing import make_treatment
from app.services.visits.waiting import WaitingForm, put_on
from app.views.use.capacity import first_full, resource_view
from tests.app.clinic_days import HERE, client_of
from tests.app.csv_given import csv_text
from tests.app.floor_shown import text_of
from tests.app.openings_clinic import Clinic, clinic_in
from tests.data.front_desk import part, treatment_form
from tests.data.set_up_clinic import save

ADDRESS = "/use/capacity"
TUESDAY = date(2031, 3, 4)


@pytest.fixture
def clinic(tmp_path: Path) -> Iterator[Clinic]:
    """From Tuesday 4 March on; Wednesday to Friday are closed, and ten wait for 200 minutes of ultrasound each."""
    made = clinic_in(tmp_path)
    store = made.desk.store
    for n in (1, 2, 3):
        form = ClosureForm(date=f"{TUESDAY + timedelta(days=n)}", reason="")
        save(store, SaveClosure(form=form, read=filled_set_up(store).version))
    treatment = treatment_form(part(200, channels={"ultrasound": "1"}), name="Long")
    long = make_treatment(store, treatment, actor="test")
    for n in range(10):
        patient = make_patient(store, f"Patient {n}", actor="test").id
        put_on(store, WaitingForm(patient=str(patient), treatment=str(long)), actor="test")
    yield made
    store.close()


def _csv(clinic: Clinic, table: str, query: str = "") -> list[dict[str, str]]:
    answer = client_of(clinic.app, "manager").get(f"{ADDRESS}/csv/{table}{query}", headers=HERE)
    assert f"capacity-{table}-2031-03-03.csv" in answer.headers["content-disposition"]
    return list(csv.DictReader(io.StringIO(csv_text(answer))))


def test_it_says_what_is_full_first_and_what_is_not(clinic: Clinic) -> None:
    html = client_of(clinic.app, "manager").get(ADDRESS, headers=HERE).text
    text = text_of(html)
    assert "Tuesday 4 March 2031 to Monday 28 April 2031" in text
    assert "The week from 4 March 2031: ultrasound, therapists’ hands and anybody’s hands." in text
    assert "pads : not within 8 weeks" in text
    assert "▲ ultrasound : full in the week from 4 March 2031" in text
    assert "Ann Early" not in text


def test_its_tables_add_up(clinic: Clinic) -> None:
    weeks = [row for row in _csv(clinic, "weeks") if row["output or hands"] == "ultrasound"]
    assert len(weeks) == 8
    assert weeks[0] == {
        "output or hands": "ultrasound",
        "week from": "2031-03-04",
        "in service or on duty min": "1920",
        "booked min": "0",
        "free min": "1920",
        "courses min": "0",
        "waiting list min": "2000",
        "without a place min": "0",
        "demand min": "2000",
        "no room min": "80",
        "no room by its end min": "80",
    }
    assert (weeks[1]["free min"], weeks[1]["demand min"], weeks[1]["no room by its end min"]) == ("4800", "0", "0")
    (asked,) = _csv(clinic, "treatments")
    assert (asked["treatment"], asked["waiting"], asked["ultrasound min"], asked["pads min"]) == (
        "Long",
        "10",
        "200",
        "0",
    )
    assert asked["therapists’ hands min"] == "200"


def test_hours_are_ranked_and_the_page_shows_the_first_of_them(clinic: Clinic) -> None:
    hours = _csv(clinic, "hours")
    takes = [int(row["would take min"]) for row in hours]
    assert takes == sorted(takes, reverse=True)
    opened = next(row for row in hours if row["weekday and hour"] == "Saturday 10:00–11:00")
    assert (opened["what"], opened["adds min"], opened["no room min"]) == ("open it", "120", "80")
    assert (opened["may come then min"], opened["would take min"]) == ("2000", "80")
    assert len(hours) > 20
    text = text_of(client_of(clinic.app, "manager").get(ADDRESS, headers=HERE).text)
    assert f"{len(hours) - 20} more are in the CSV" in text


def test_so_many_weeks_as_asked_for_and_every_table_open_to_print(clinic: Clinic) -> None:
    client = client_of(clinic.app, "manager")
    assert len(_csv(clinic, "weeks", "?weeks=1")) == 5
    plain = client.get(f"{ADDRESS}?weeks=2", headers=HERE).text
    printed = client.get(f"{ADDRESS}?weeks=2&tables=open", headers=HERE).text
    assert (plain.count('<details class="numbers" open>'), printed.count('<details class="numbers" open>')) == (1, 7)
    assert '<form method="get" action="/use/capacity"' not in printed


@pytest.mark.parametrize("weeks", ["0", "13", "-1", "eight", "", "1.5"])
def test_a_number_of_weeks_that_is_none_is_refused_in_one_line(clinic: Clinic, weeks: str) -> None:
    answer = client_of(clinic.app, "manager").get(f"{ADDRESS}?weeks={weeks}", headers=HERE)
    assert answer.status_code == 422
    assert "give a whole number from 1 to 12" in answer.text
    assert f'name="weeks" value="{weeks}" min="1"' in answer.text
    assert "Below are 8." in answer.text


def test_there_is_no_other_table(clinic: Clinic) -> None:
    assert client_of(clinic.app, "manager").get(f"{ADDRESS}/csv/none", headers=HERE).status_code == 404


@pytest.mark.parametrize(
    ("role", "status"), [("desk", 403), ("therapist", 403), ("manager", 200), ("administrator", 200)]
)
def test_it_is_for_managers_and_administrators(clinic: Clinic, role: Role, status: int) -> None:
    client = client_of(clinic.app, role)
    assert client.get(ADDRESS, headers=HERE).status_code == status
    assert client.get(f"{ADDRESS}/csv/weeks", headers=HERE).status_code == status


def test_columns_are_drawn_to_the_most_of_the_resource() -> None:
    cells = ((0, 0, 300, 0, 0, 0, 150, 0, 0), (0, 0, 0, 0, 0, 0, 600, 600, 600))
    view = resource_view(0, "pads", [(TUESDAY, cells[0]), (TUESDAY + timedelta(days=7), cells[1])], TUESDAY)
    assert [(bar.demand, bar.free, bar.is_over) for bar in view.bars] == [(30.0, 60.0, False), (120.0, 0.0, True)]
    assert first_full([("pads", None)]) == ""
    nothing = resource_view(0, "pads", [(TUESDAY, (0,) * 9)], None)
    assert (nothing.full, nothing.bars[0].free) == ("not within 1 week", 0.0)
