"""A range of days from what is kept: written with the day, counted again where missing, refused to who may not."""

import datetime

from sqlalchemy import delete
from starlette.testclient import TestClient

from app.db.store import Store
from app.main import create_app
from app.models import DayFigures
from app.services.accounts import make_account, new_sign_in_address
from app.services.days import save_day
from app.services.use.counting import count_day
from app.services.use.room import UseRoom, read_range
from app.settings import Settings
from solver.problem import Day
from solver.report.sums import added, day_sums
from tests.builders import a_day, a_part, a_plan, a_visit, hands_on, placed

VISIT = a_visit(a_part(hands_on(30)), id="V1", patient="P001")
FIRST = a_day(VISIT)
PLAN = a_plan(FIRST, placed(VISIT, "09:00"))
MONTH = (FIRST.date.replace(day=1), FIRST.date.replace(day=28))
TODAY = FIRST.date + datetime.timedelta(days=1)


def _kept(store: Store) -> Day:
    save_day(store, FIRST, PLAN, read=0, actor="tests")
    return FIRST


def test_a_saved_day_is_counted_as_it_is_saved(store: Store) -> None:
    _kept(store)
    found = read_range(store, *MONTH, TODAY)
    assert found.whole == day_sums(FIRST, PLAN)
    assert (list(found.weekdays), found.uncounted) == ([FIRST.date.weekday()], 0)
    assert list(found.weeks) == [FIRST.date - datetime.timedelta(days=FIRST.date.weekday())]


def test_a_day_saved_again_counts_once_and_as_it_is_now(store: Store) -> None:
    _kept(store)
    later = a_plan(FIRST, placed(VISIT, "10:00"))
    save_day(store, FIRST, later, read=1, actor="tests")
    assert read_range(store, *MONTH, TODAY).whole == added([day_sums(FIRST, later)])


def test_a_day_without_figures_is_said_to_be_uncounted_until_it_is_counted(file_store: Store) -> None:
    _kept(file_store)
    with file_store.writing() as session:
        session.connection().execute(delete(DayFigures))
    missing = read_range(file_store, *MONTH, TODAY)
    assert (missing.uncounted, missing.whole) == (1, {})
    count_day(file_store, FIRST.date, TODAY)
    assert read_range(file_store, *MONTH, TODAY).whole == day_sums(FIRST, PLAN)


def test_the_room_counts_in_a_process_of_its_own(file_store: Store) -> None:
    _kept(file_store)
    with file_store.writing() as session:
        session.connection().execute(delete(DayFigures))
    room = UseRoom(file_store)
    for _ in range(20):
        found = room.range(*MONTH, TODAY)
        if not found.uncounted:
            break
    room.close()
    assert found.whole == day_sums(FIRST, PLAN)


def _client(store: Store, role: str) -> TestClient:
    make_account(store, "Somebody", role, "", actor="tests")
    app = create_app(Settings.found(), store)
    client = TestClient(app, base_url="http://localhost", headers={"sec-fetch-site": "same-origin"})
    client.post(f"/once/{new_sign_in_address(store, 'Somebody', actor='tests')}")
    return client


def test_a_manager_reads_figures_tables_and_a_month(file_store: Store) -> None:
    _kept(file_store)
    client, query = _client(file_store, "manager"), f"from={MONTH[0]}&to={MONTH[1]}"
    assert "1 planned day." in client.get(f"/use?{query}").text
    assert "1 planned day." in client.get(f"/use/month/{FIRST.date:%Y-%m}").text
    sums = day_sums(FIRST, PLAN)
    csv = client.get(f"/use/csv/weeks?{query}")
    clinic = sums["clinic"]["all"]
    assert csv.headers["content-type"].startswith("text/csv")
    assert csv.text.splitlines()[1].split(",")[1:4] == [
        str(clinic[measure]) for measure in ("available_min", "used_min", "held_min")
    ]
    assert "P001" not in client.get(f"/use?{query}").text


def test_dates_that_are_none_or_out_of_order_are_refused_in_words(file_store: Store) -> None:
    client = _client(file_store, "manager")
    for query in ("from=x&to=2031-01-01", "from=2031-02-01&to=2031-01-01", "from=2020-01-01&to=2031-01-01"):
        answer = client.get(f"/use?{query}")
        assert (answer.status_code, "Traceback" in answer.text) == (422, False)
    assert client.get("/use/month/2031-13").status_code == 404
    assert client.get("/use/csv/nothing").status_code == 404
    assert "No day of this range has a plan." in client.get("/use").text


def test_the_desk_may_not_enter(file_store: Store) -> None:
    assert _client(file_store, "desk").get("/use").status_code == 403
