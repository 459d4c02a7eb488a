"""The Day page's routes: what they answer, and what they refuse."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from app.guards import POLICY
from app.services.days import kept_day, save_day
from app.services.planning import Planning
from tests.app.clinic_days import ADDRESS, DATE, app_in, client_of, plan_at_once, store_of


@pytest.fixture
def clinic(tmp_path: Path) -> Iterator[tuple[TestClient, Planning]]:
    app, planning = app_in(tmp_path, plan_at_once, lambda: datetime(2031, 3, 4, 10, 2))
    with client_of(app, follow_redirects=False) as client:
        yield client, planning


@pytest.fixture
def client(clinic: tuple[TestClient, Planning]) -> TestClient:
    return clinic[0]


def test_the_root_leads_to_the_day(client: TestClient) -> None:
    assert client.get("/").headers["location"] == ADDRESS


def test_the_page_shows_the_plan(client: TestClient) -> None:
    page = client.get(ADDRESS)
    assert page.status_code == 200
    for text in ("Tuesday 4 March 2031", "Ann Early", "Dee Out", "09:20–09:30", "every rule holds"):
        assert text in page.text


@pytest.mark.parametrize("day", ["2031-02-30", "today", "2031-03-04x", "20310304", "2031-W10-2"])
def test_what_is_no_date_is_not_found(client: TestClient, day: str) -> None:
    assert client.get(f"/day/{day}").status_code == 404


def test_a_date_that_nothing_is_kept_of_is_closed_and_leads_on(client: TestClient) -> None:
    page = client.get("/day/2031-03-05").text
    assert "The clinic is closed" in page
    assert f'href="{ADDRESS}"' in page


def test_the_date_field_leads_to_its_date(client: TestClient) -> None:
    answer = client.get("/day?date=2031-03-04")
    assert (answer.status_code, answer.headers["location"]) == (303, ADDRESS)
    assert client.get("/day?date=soon").status_code == 404


def test_a_day_without_a_plan_says_so_and_lists_who_is_asked_for(tmp_path: Path) -> None:
    app, _ = app_in(tmp_path, plan_at_once)
    store = store_of(app)
    kept = kept_day(store, DATE)
    assert kept is not None
    other = date(2031, 3, 6)
    save_day(store, replace(kept.day, date=other), None, read=0, actor="test")
    with client_of(app) as client:
        page = client.get(f"/day/{other}").text
    assert "4 visits asked for, not planned yet" in page
    assert "every rule holds" not in page
    assert "Ann Early" in page


@pytest.mark.parametrize("path", ["/", ADDRESS])
def test_head_answers_as_get_does_without_a_body(client: TestClient, path: str) -> None:
    head, whole = client.head(path), client.get(path)
    assert (head.status_code, head.content) == (whole.status_code, b"")


def test_today_has_a_now_line_and_renews_itself(client: TestClient) -> None:
    page = client.get(ADDRESS).text
    assert 'data-now="62"' in page
    assert "every 60s" in page
    assert 'hx-sse:connect="/day/2031-03-04/changes?seen=1"' in page


def test_a_moment_that_is_asked_for_goes_before_now(client: TestClient) -> None:
    page = client.get(f"{ADDRESS}?at=09:10").text
    assert 'data-now="10"' in page
    assert "every 60s" not in page


@pytest.mark.parametrize("query", ["at=25:00", "at=x", "zoom=7", "zoom=９", "unit=no", "patient=99", "part=no"])
def test_a_query_that_means_nothing_is_passed_over(client: TestClient, query: str) -> None:
    assert client.get(f"{ADDRESS}?{query}").status_code == 200


def test_the_filter_by_unit_leaves_the_others_out(client: TestClient) -> None:
    page = client.get(f"{ADDRESS}?unit=U2").text
    assert 'data-unit="U2"' in page
    assert 'data-unit="U1"' not in page


def test_the_filter_by_staff_quietens_the_parts_of_others(client: TestClient) -> None:
    rows = client.get(f"{ADDRESS}?staff=A1&as=table").text
    assert "Cy Two" in rows.split("<tbody>")[1]
    assert "Ann Early" not in rows.split("<tbody>")[1].split("</tbody>")[0]


def test_no_address_on_the_page_holds_a_patients_name(client: TestClient) -> None:
    page = client.get(ADDRESS).text
    addresses = [piece.split('"')[0] for piece in page.split('href="')[1:]]
    assert addresses
    assert not [address for address in addresses if "Ann" in address or "Early" in address]


def test_the_panel_opens_without_script(client: TestClient) -> None:
    page = client.get(f"{ADDRESS}?part=V2.p1").text
    panel = page.split('<aside id="panel"')[1].split("</aside>")[0]
    assert "Bea Later" in panel
    assert "call bell" in panel.lower()


def test_the_panel_opens_with_a_gap_without_script_too(client: TestClient) -> None:
    page = client.get(f"{ADDRESS}?part=gap.U1.u1.720").text
    panel = page.split('<aside id="panel"')[1].split("</aside>")[0]
    for text in ("Free for", "Rowan, channel u1", "Could hold", "suction"):
        assert text in panel


def test_an_unknown_part_is_not_carried_along_in_addresses(client: TestClient) -> None:
    assert "Ann+Early" not in client.get(f"{ADDRESS}?part=Ann+Early").text
    assert "part=V2.p1" in client.get(f"{ADDRESS}?part=V2.p1").text


def test_the_questions_of_every_output_are_on_the_page_with_their_source(client: TestClient) -> None:
    page = client.get(ADDRESS).text.split('id="cautions"')[1].split("</section>")[0]
    # Rand and others 2007 list both kinds of output.
    assert page.count("<details") == page.count("Source: Rand and others 2007") == 2
    for text in ("Before ultrasound", "Before pads", "joint replacement", "pregnant"):
        assert text in page


def test_what_the_filter_asks_for_is_said_where_it_is_folded(client: TestClient) -> None:
    assert "<summary>Filter: Sorrel, Tess Ray</summary>" in client.get(f"{ADDRESS}?unit=U2&staff=T1").text
    assert "<summary>Filter</summary>" in client.get(ADDRESS).text


def test_the_cautions_are_on_the_page(client: TestClient) -> None:
    page = client.get(ADDRESS).text
    for text in ("decides nothing clinical", "prescribing clinician", "call bell", "Rand and others 2007", "own"):
        assert text in page


def test_names_are_escaped(tmp_path: Path) -> None:
    app, _ = app_in(tmp_path, plan_at_once)
    store = store_of(app)
    kept = kept_day(store, DATE)
    assert kept is not None
    visits = tuple(
        replace(visit, patient="<script>Ann</script>") if visit.id == "V1" else visit for visit in kept.day.visits
    )
    save_day(store, replace(kept.day, visits=visits), kept.plan, read=1, actor="test")
    with client_of(app) as client:
        page = client.get(ADDRESS).text
    assert "<script>Ann" not in page
    assert "&lt;script&gt;Ann" in page


def test_every_answer_has_the_security_headers(client: TestClient) -> None:
    for path in (ADDRESS, "/day/x", "/static/css/page.css"):
        headers = client.get(path).headers
        assert headers["content-security-policy"] == POLICY
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["referrer-policy"] == "same-origin"


def test_scripts_stand_in_files_only(client: TestClient) -> None:
    page = client.get(ADDRESS).text
    assert "'unsafe-inline'" not in POLICY.split("script-src")[1].split(";")[0]
    assert all(piece.startswith(" src=") for piece in page.split("<script")[1:])
    assert " onclick" not in page


@pytest.mark.parametrize("host", ["example.org", "127.0.0.1.example.org", "", "localhost.example.org:8031"])
def test_a_foreign_host_name_is_refused(client: TestClient, host: str) -> None:
    assert client.get(ADDRESS, headers={"host": host}).status_code == 400


@pytest.mark.parametrize("host", ["127.0.0.1:8031", "localhost", "[::1]:8031"])
def test_loopback_names_are_answered(client: TestClient, host: str) -> None:
    assert client.get(ADDRESS, headers={"host": host}).status_code == 200


@pytest.mark.parametrize(
    "headers",
    [
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
        {"origin": "http://example.org"},
        {"origin": "null"},
        {"sec-fetch-site": "cross-site", "origin": "http://127.0.0.1"},
        {},
    ],
)
def test_a_post_from_elsewhere_is_refused_and_starts_nothing(
    clinic: tuple[TestClient, Planning], headers: dict[str, str]
) -> None:
    client, planning = clinic
    assert client.post(f"{ADDRESS}/plan", data={"seconds": "5"}, headers=headers).status_code == 403
    assert planning.current(DATE) is None


def test_a_post_from_the_page_itself_is_taken_by_origin_where_that_is_all_there_is(client: TestClient) -> None:
    answer = client.post(f"{ADDRESS}/plan", data={"seconds": "5"}, headers={"origin": "http://127.0.0.1"})
    assert answer.status_code == 303
