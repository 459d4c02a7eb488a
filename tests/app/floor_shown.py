"""The Floor of the small clinic, as a therapist's browser has it, at a time that a test sets."""

import re
from datetime import datetime
from typing import Any

from fastapi import FastAPI
from fastapi.testclient import TestClient
from httpx2 import Response

from app.queries.visit_life import row_ids
from tests.app.clinic_days import DATE, HERE, client_of, store_of

FLOOR = f"/floor/{DATE}"


class Watch:
    """A clock that a test sets."""

    def __init__(self) -> None:
        self.time = "08:55"

    def __call__(self) -> datetime:
        return datetime.combine(DATE, datetime.strptime(self.time, "%H:%M").time())


class Shown:
    def __init__(self, app: FastAPI, watch: Watch) -> None:
        self.app, self.watch = app, watch
        self.client: TestClient = client_of(app, "therapist", headers=HERE)
        with store_of(app).reading() as session:
            self.ids = row_ids(session, 1, DATE)
        self.number = 0

    def press(self, kind: str, visit: str | None = None, at: str = "", page: str = "", **fields: Any) -> Response:
        self.watch.time = at or self.watch.time
        self.number += 1
        data = {"key": f"{self.number:032x}", "kind": kind, **{name: str(value) for name, value in fields.items()}}
        if visit is not None:
            data["visit"] = str(self.ids[visit])
        address = f"{FLOOR}/visit/{self.ids[page]}" if page else f"{FLOOR}/press"
        return self.client.post(address, data=data, follow_redirects=False)

    def get(self, address: str = "") -> str:
        answer = self.client.get(FLOOR + address)
        assert answer.status_code == 200
        return answer.text

    def begin(self, visit: str, at: str) -> None:
        self.press("arrived", visit, at)
        self.press("decided", visit, decision="go", by="Tess Ray")
        assert self.press("started", visit, part=0).status_code == 303


def text_of(html: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", html).split())
