"""Forms of the Set-up room as a browser would send them, and fixtures of a clinic that they are of."""

import html
import re
import shutil
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from app.db.store import Store
from app.services.databases import open_database
from tests.app.set_up_clinic import client_of, clinic_in


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The clinic's file, to be copied and not touched."""
    folder = tmp_path_factory.mktemp("made")
    clinic_in(folder).close()
    return folder / "clinic.db"


@pytest.fixture
def store(made: Path, tmp_path: Path) -> Iterator[Store]:
    opened = open_database(shutil.copyfile(made, tmp_path / "clinic.db").as_posix())
    yield opened
    opened.close()


@pytest.fixture
def manager(store: Store) -> TestClient:
    return client_of(store)


class Filled(HTMLParser):
    """The fields of the page's form in main, as a browser would send them."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.fields: dict[str, list[str]] = {}
        self._choice = self._long = ""
        self._in_form = False
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {key: value or "" for key, value in attrs}
        if tag == "form":
            self._in_form = "stack" in given.get("class", "")
        if not self._in_form:
            return
        name = given.get("name", "")
        if tag == "input" and (given.get("type") != "checkbox" or "checked" in given):
            self.fields.setdefault(name, []).append(given.get("value", ""))
        elif tag == "select":
            self._choice = name
        elif tag == "option" and self._choice and (self._choice not in self.fields or "selected" in given):
            self.fields[self._choice] = [given.get("value", "")]

    def handle_endtag(self, tag: str) -> None:
        if tag == "select":
            self._choice = ""


def form_at(client: TestClient, address: str) -> dict[str, list[str]]:
    answer = client.get(address)
    assert answer.status_code == 200
    return Filled(answer.text).fields


def filled_in(client: TestClient, address: str, **typed: str | list[str]) -> dict[str, list[str]]:
    """The form of the address with some of its fields typed anew; ``hours_0`` is the field ``hours[0]``."""
    fields = form_at(client, address)
    for name, value in typed.items():
        name = re.sub(r"_(\d+)$", r"[\1]", name)
        fields[name] = value if isinstance(value, list) else [value]
    return fields


def fault_at(page: str, field: str) -> str:
    """What stands beside the field; empty where nothing does."""
    found = re.search(rf'id="{re.escape(field)}-fault">(.*?)</p>', page)
    return html.unescape(found[1]) if found else ""
