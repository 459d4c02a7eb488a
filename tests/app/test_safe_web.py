"""What keeps the pages safe: foreign posts, sizes, cookies, where signing in leads, faults, scripts in files only."""

import logging
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.guards import LARGEST_BODY, POLICY
from app.main import create_app
from app.routes.access import ACCESS, COOKIE
from app.services.accounts import new_sign_in_address
from app.services.day_room import DayRoom
from app.settings import Settings
from tests.app.clinic_days import ADDRESS, HERE, app_in, client_of, store_in

POSTS = sorted(route.split(" ")[1] for route in ACCESS if route.startswith("POST"))


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory) -> FastAPI:
    return app_in(tmp_path_factory.mktemp("safe"))[0]


@pytest.fixture(scope="module")
def client(app: FastAPI) -> TestClient:
    return client_of(app, "administrator", follow_redirects=False)


@pytest.mark.parametrize("path", POSTS)
def test_no_post_is_taken_from_elsewhere(client: TestClient, path: str) -> None:
    foreign: tuple[dict[str, str], ...] = (
        {},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
        {"sec-fetch-site": "none"},
        {"origin": "http://example.org"},
        {"origin": "null"},
        {"origin": "https://127.0.0.1"},
        {"origin": "http://127.0.0.1:81"},
        {"origin": "http://127.0.0.1", "sec-fetch-site": "cross-site"},
    )
    for headers in foreign:
        answer = client.post(path, headers=headers)
        assert (answer.status_code, answer.headers["content-security-policy"]) == (403, POLICY)


@pytest.mark.parametrize(
    "to",
    [
        "//example.org",
        "/\\example.org",
        "https://example.org",
        "javascript:alert(1)",
        "/ x",
        "/\nx",
        "\t//example.org",
        "x",
    ],
)
def test_signing_in_never_leads_to_another_site(client: TestClient, to: str) -> None:
    page = client.get("/sign-in", params={"to": to})
    assert page.status_code == 200
    assert re.findall(r'name="to"[^>]*value="([^"]*)"', page.text) in ([""], [])
    assert f'value="{ADDRESS}"' in client.get("/sign-in", params={"to": ADDRESS}).text


@pytest.mark.parametrize("secure", [False, True])
def test_the_cookie_is_out_of_reach_of_scripts_and_other_sites(tmp_path: Path, secure: bool) -> None:
    store = store_in(tmp_path)
    app = create_app(Settings.found(secure=secure), store)
    client = TestClient(app, base_url="http://127.0.0.1", follow_redirects=False)
    answer = client.get(f"/once/{new_sign_in_address(store, 'desk', actor='test')}")
    parts = {part.strip().lower() for part in answer.headers["set-cookie"].split(";")}
    assert {"httponly", "samesite=lax", "path=/"} <= parts
    assert ("secure" in parts) is secure
    assert ("strict-transport-security" in answer.headers) is secure
    assert answer.headers["set-cookie"].startswith(f"{COOKIE}=")


def test_a_body_is_limited_whether_or_not_it_says_its_length(client: TestClient) -> None:
    def pieces() -> Iterator[bytes]:
        for _ in range(LARGEST_BODY // 1024 + 1):
            yield b"x" * 1024

    kind = {"content-type": "application/x-www-form-urlencoded"}
    assert client.post("/sign-in", content=pieces(), headers={**HERE, **kind}).status_code == 413
    assert client.post("/sign-in", content=b"x" * (LARGEST_BODY + 1), headers={**HERE, **kind}).status_code == 413


def test_a_fault_names_no_patient(
    client: TestClient, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def broken(*_: object) -> None:
        raise ValueError("Ann Early cannot be read")

    monkeypatch.setattr(DayRoom, "shown", broken)
    with caplog.at_level(logging.DEBUG):
        answer = client.get(ADDRESS)
    assert answer.status_code == 500
    assert "ValueError" in caplog.text
    assert "Ann" not in caplog.text + answer.text
    assert answer.headers["content-security-policy"] == POLICY


def test_no_template_holds_a_script_a_style_or_a_handler() -> None:
    templates = sorted(Settings.found().templates.rglob("*.j2")) + sorted(Settings.found().templates.rglob("*.html"))
    assert len(templates) > 20
    for path in templates:
        text = path.read_text(encoding="utf-8")
        assert not re.search(r"<script(?![^>]*\ssrc=)|<style|\son[a-z]+\s*=|javascript:|hx-on|\|\s*safe\b", text), (
            path.name
        )


def test_signing_out_ends_the_session_itself(app: FastAPI) -> None:
    client = client_of(app, "desk", follow_redirects=False)
    token = client.cookies[COOKIE]
    assert client.post("/sign-out", headers=HERE).status_code == 303
    again = client_of(app, None, follow_redirects=False)
    assert again.get(ADDRESS, headers={"cookie": f"{COOKIE}={token}"}).status_code == 303


def test_whoever_asks_for_an_icon_beside_no_page_gets_the_one_of_the_pages(app: FastAPI) -> None:
    answer = TestClient(app, base_url="http://127.0.0.1").get("/favicon.ico")
    assert answer.history[0].status_code == 308
    assert (answer.status_code, answer.headers["content-type"]) == (200, "image/svg+xml")
    assert "img-src 'self'" in answer.headers["content-security-policy"]
