"""Who may do what: every route is in the table, and the server keeps to it."""

from datetime import datetime
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.roles import ROLES, Role
from app.routes.access import ACCESS, ANYBODY
from tests.app.clinic_days import HERE, app_in, client_of, plan_at_once
from tests.app.every_route import every_route

SAMPLE = {
    "day": "2031-03-04",
    "token": "none",
    "id": "1",
    "kind": "unit",
    "what": "patients",
}
"""Something for each variable of an address."""
STREAMS = {"GET /day/{day}/changes", "GET /floor/{day}/changes"}
"""Answers without an end: looked at where they are tested."""


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory) -> FastAPI:
    folder: Path = tmp_path_factory.mktemp("access")
    made, _ = app_in(folder, plan_at_once, lambda: datetime(2031, 3, 4, 10, 2))
    return made


@pytest.fixture(scope="module")
def clients(app: FastAPI) -> dict[Role | None, TestClient]:
    return {role: client_of(app, role, follow_redirects=False) for role in (*ROLES, None)}


def test_every_route_has_a_rule_and_every_rule_a_route(app: FastAPI) -> None:
    assert sorted(set(every_route(app)) - {"GET /static"}) == sorted(ACCESS)


def test_a_route_without_a_rule_lets_nobody_in(
    clients: dict[Role | None, TestClient], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delitem(ACCESS, "GET /audit")
    assert clients["administrator"].get("/audit").status_code == 403


@pytest.mark.parametrize("role", [*ROLES, None])
@pytest.mark.parametrize("route", sorted(set(ACCESS) - STREAMS))
def test_each_role_gets_what_the_table_says(
    clients: dict[Role | None, TestClient], route: str, role: Role | None
) -> None:
    if route in ("POST /sign-out", "POST /accounts/{id}/close", "POST /accounts/{id}"):
        pytest.skip("ends sessions of the other cases; looked at by itself")
    method, address = route.split(" ")
    for name, value in SAMPLE.items():
        address = address.replace(f"{{{name}}}", value)
    answer = clients[role].request(method, address, headers=HERE)
    allowed = ACCESS[route]
    if allowed is ANYBODY:
        assert answer.status_code not in (401, 403)
    elif role is None:
        assert answer.status_code == (303 if method == "GET" else 401)
        if method == "GET":
            assert answer.headers["location"].startswith("/sign-in?to=")
    elif role in allowed:
        assert answer.status_code not in (401, 403)
    else:
        assert answer.status_code == 403


@pytest.mark.parametrize("role", [*ROLES, None])
@pytest.mark.parametrize("route", ["POST /sign-out", "POST /accounts/{id}/close", "POST /accounts/{id}"])
def test_what_ends_sessions_is_for_whom_the_table_says(app: FastAPI, route: str, role: Role | None) -> None:
    client = client_of(app, role, follow_redirects=False)
    allowed = ACCESS[route]
    assert allowed is not None
    answer = client.post(route.removeprefix("POST ").replace("{id}", "999"), headers=HERE)
    right = 401 if role is None else 403 if role not in allowed else (303 if route == "POST /sign-out" else 422)
    assert answer.status_code == right


def test_htmx_is_told_to_sign_in_rather_than_given_a_page(clients: dict[Role | None, TestClient]) -> None:
    answer = clients[None].get("/day/2031-03-04", headers={"hx-request": "true"})
    assert (answer.status_code, answer.headers["hx-redirect"]) == (401, "/sign-in")
    assert "<html" not in answer.text


def test_static_files_and_nothing_else_are_open(clients: dict[Role | None, TestClient]) -> None:
    assert clients[None].get("/static/css/page.css").status_code == 200
    answer = clients[None].get("/no-such-page")
    assert answer.status_code == 404
    assert "Rowan" not in answer.text
