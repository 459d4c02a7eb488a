"""Every route by every role and by nobody: the table of access is what is kept, and it is whole."""

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.roles import ROLES, Role
from app.routes.access import ACCESS
from tests.app.clinic_days import HERE, app_in, client_of
from tests.app.every_route import every_route

ADDRESSES = {"day": "2031-03-04", "id": "1", "token": "none", "kind": "units", "what": "patients"}


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory) -> FastAPI:
    return app_in(tmp_path_factory.mktemp("access"))[0]


@pytest.fixture(scope="module")
def clients(app: FastAPI) -> dict[Role | None, TestClient]:
    return {role: client_of(app, role, follow_redirects=False) for role in (None, *ROLES)}


def _address(route: str) -> tuple[str, str]:
    method, path = route.split(" ")
    for name, value in ADDRESSES.items():
        path = path.replace(f"{{{name}}}", value)
    assert "{" not in path
    return method, path


def test_every_route_has_a_rule_and_every_rule_a_route(app: FastAPI) -> None:
    assert set(every_route(app)) == set(ACCESS)


@pytest.mark.parametrize("route", sorted(route for route, allowed in ACCESS.items() if allowed is not None))
def test_nobody_is_sent_to_sign_in(clients: dict[Role | None, TestClient], route: str) -> None:
    method, path = _address(route)
    answer = clients[None].request(method, path, headers=HERE)
    if method == "GET":
        assert answer.status_code == 303
        assert answer.headers["location"].startswith("/sign-in?to=%2F")
    else:
        assert answer.status_code == 401
    by_script = clients[None].request(method, path, headers={**HERE, "hx-request": "true"})
    assert (by_script.status_code, by_script.headers["hx-redirect"]) == (401, "/sign-in")


@pytest.mark.parametrize(
    ("route", "role"),
    [(route, role) for route, allowed in sorted(ACCESS.items()) for role in ROLES if allowed and role not in allowed],
)
def test_another_role_is_refused(clients: dict[Role | None, TestClient], route: str, role: Role) -> None:
    method, path = _address(route)
    answer = clients[role].request(method, path, headers=HERE)
    assert answer.status_code == 403
    if method == "GET":
        assert clients[role].head(path).status_code in (403, 405)


@pytest.mark.parametrize(
    ("route", "role"),
    [
        (route, role)
        for route, allowed in sorted(ACCESS.items())
        for role in ROLES
        if allowed and role in allowed and route.startswith("GET") and not route.endswith(("/changes", "/events"))
    ],
)
def test_the_roles_of_the_rule_are_let_in(clients: dict[Role | None, TestClient], route: str, role: Role) -> None:
    _, path = _address(route)
    assert clients[role].get(path).status_code not in (401, 403, 500)


def test_a_made_up_session_is_nobodys(app: FastAPI) -> None:
    client = client_of(app, None, follow_redirects=False)
    for token in ("", "x", "a" * 43, "'; --"):
        assert client.get("/accounts", headers={"cookie": f"channelday={token}"}).status_code == 303
