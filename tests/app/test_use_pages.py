"""The pages of Use as one room: each leads to every other, says what is there before anything was asked, and fills a
form in again that was wrong."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi import FastAPI

from tests.app.clinic_days import HERE, app_in, client_of, store_of
from tests.app.csv_given import csv_text

PAGES = (
    "/use",
    "/use/capacity",
    "/use/holding-back",
    "/use/one-more",
    "/use/robust",
    "/use/upkeep",
)


@pytest.fixture
def app(tmp_path: Path) -> Iterator[FastAPI]:
    made, _ = app_in(tmp_path)
    yield made
    store_of(made).close()


@pytest.mark.parametrize("address", PAGES)
def test_each_page_leads_to_every_other_and_says_which_it_is(app: FastAPI, address: str) -> None:
    html = client_of(app, "manager").get(address, headers=HERE).text
    found = re.search(r'<nav class="ranges" aria-label="Pages of Use">(.*?)</nav>', html, re.DOTALL)
    assert found is not None
    links = re.findall(r'<a class="button" href="([^"]+)"( aria-current="page")?>', found[1])
    assert tuple(href for href, _ in links) == PAGES
    assert [href for href, current in links if current] == [address]


@pytest.mark.parametrize(
    ("address", "said"),
    [
        ("/use/holding-back", "Nothing was looked at yet."),
        ("/use/one-more", "Nothing was compared yet."),
        ("/use/robust", "Nothing was tried out yet."),
        ("/use/upkeep", "Nothing is noted yet."),
    ],
)
def test_before_anything_was_asked_the_page_says_so(app: FastAPI, address: str, said: str) -> None:
    assert said in client_of(app, "manager").get(address, headers=HERE).text


@pytest.mark.parametrize(
    ("query", "typed", "said"),
    [
        ("from=2031-03-09&to=2031-03-03", ("2031-03-09", "2031-03-03"), "2031-03-03 is before 2031-03-09"),
        ("from=2031-03-09&to=", ("2031-03-09", ""), "one of them is no date"),
        ("from=2021-03-09&to=2031-03-03", ("2021-03-09", "2031-03-03"), "that is more than two years"),
        (f'from={"9" * 500}"&to=2031-03-03', ("9" * 20, "2031-03-03"), "one of them is no date"),
    ],
)
def test_dates_that_are_wrong_stay_in_the_form_beside_what_is_wrong(
    app: FastAPI, query: str, typed: tuple[str, str], said: str
) -> None:
    answer = client_of(app, "manager").get(f"/use?{query}", headers=HERE)
    assert answer.status_code == 422
    assert said in answer.text
    for name, value in zip(("from", "to"), typed, strict=True):
        assert f'name="{name}" value="{value}" required aria-invalid="true"' in answer.text
    assert client_of(app, "manager").get(f"/use/csv/channels?{query}", headers=HERE).status_code == 422


def test_tables_name_minutes_as_the_rest_of_the_room_does(app: FastAPI) -> None:
    client = client_of(app, "manager")
    day = "?from=2031-03-04&to=2031-03-04"
    heads = {
        table: csv_text(client.get(f"/use/csv/{table}{day}", headers=HERE)).splitlines()[0]
        for table in ("channels", "applicators", "bays", "staff")
    }
    assert heads == {
        "channels": "channel,in service min,running min,held min,raw %,adjusted %",
        "applicators": "applicator,available min,held min,held and turnaround min,raw %,adjusted %",
        "bays": "bay,open min,held min,held and turnover min,raw %,adjusted %",
        "staff": "member,duty min,hands min,raw %",
    }
