"""Random requests to every route by every role: refused or answered, and never a fault."""

import logging
import tempfile
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import quote

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.roles import ROLES, Role
from app.routes.access import ACCESS
from tests.app.clinic_days import HERE, app_in, client_of, plan_at_once

STREAMS = ("/changes", "/events")
ROUTES = sorted(route for route in ACCESS if not route.endswith(STREAMS) and route != "POST /sign-out")
FIELDS = (
    *(
        "at",
        "zoom",
        "unit",
        "place",
        "staff",
        "patient",
        "part",
        "as",
        "date",
        "to",
        "name",
        "role",
        "password",
        "again",
    ),
    *("old", "seconds", "actor", "record", "on", "before", "id", "code", "version", "from", "until", "reason"),
    *("first", "last", "hours", "treatment", "every", "visits", "file", "kind", "what", "read"),
)

texts = st.one_of(
    st.sampled_from(
        ["", "0", "1", "-1", "9" * 30, "2031-03-04", "0001-01-01", "9999-12-31", "\x00", "é", "🙂", "units", "patients"]
    ),
    st.text(st.characters(codec="utf-8"), max_size=12),
)
fields = st.dictionaries(st.one_of(st.sampled_from(FIELDS), texts), texts, max_size=5)
bodies = st.one_of(fields, st.binary(max_size=60))
kinds = st.sampled_from(
    ["application/x-www-form-urlencoded", "multipart/form-data; boundary=x", "multipart/form-data", "text/x"]
)
in_path = texts.filter(lambda text: text not in ("", ".", "..") and "/" not in text)
extras = st.sampled_from([{}, {"hx-request": "true"}, {"cookie": "x=1"}, {"accept-language": "de"}])


@pytest.fixture(scope="module")
def app() -> Iterator[FastAPI]:
    with tempfile.TemporaryDirectory() as folder:
        yield app_in(Path(folder), plan_at_once)[0]


@pytest.fixture(scope="module")
def clients(app: FastAPI) -> dict[Role | None, TestClient]:
    return {role: client_of(app, role, follow_redirects=False) for role in (None, *ROLES)}


@pytest.mark.timeout(120)
@settings(max_examples=300, derandomize=True, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    route=st.sampled_from(ROUTES),
    role=st.sampled_from((None, *ROLES)),
    method=st.sampled_from(["", "", "", "HEAD", "PUT", "DELETE", "OPTIONS"]),
    ids=st.one_of(st.sampled_from(["1", "2", "0", "9" * 19, "9" * 30]), in_path),
    day=st.one_of(st.sampled_from(["2031-03-04", "2031-03-05", "0001-01-01", "9999-12-31"]), in_path),
    word=st.one_of(st.sampled_from(["units", "staff", "patients", "none"]), in_path),
    query=fields,
    body=bodies,
    kind=kinds,
    extra=extras,
)
def test_no_request_ends_in_a_fault(
    clients: dict[Role | None, TestClient],
    caplog: pytest.LogCaptureFixture,
    route: str,
    role: Role | None,
    method: str,
    ids: str,
    day: str,
    word: str,
    query: dict[str, str],
    body: dict[str, str] | bytes,
    kind: str,
    extra: dict[str, str],
) -> None:
    known, path = route.split(" ")
    for name, value in {"id": ids, "day": day, "token": word, "kind": word, "what": word}.items():
        path = path.replace(f"{{{name}}}", quote(value, safe=""))
    headers = {**HERE, **extra}
    sent = {"data": body} if isinstance(body, dict) else {"content": body}
    if not isinstance(body, dict):
        headers["content-type"] = kind
    with caplog.at_level(logging.WARNING):
        answer = clients[role].request(method or known, path, params=query, headers=headers, **sent)
    assert answer.status_code < 500, (answer.status_code, path, caplog.text)
    assert "Traceback" not in caplog.text
    assert "default-src 'none'" in answer.headers["content-security-policy"]
