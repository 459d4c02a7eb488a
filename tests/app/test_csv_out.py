"""Tables as CSV: what a spreadsheet would run is a text there, and what is a number stays one."""

import csv
import io

import pytest

from app.routes.csv_out import csv_file
from app.services.csv_in.reading import read_csv


def written(cell: str) -> str:
    body = bytes(csv_file("x", ("a",), [(cell,)]).body).decode("utf-8-sig")
    return list(csv.reader(io.StringIO(body, newline="")))[1][0]


@pytest.mark.parametrize("begin", ["=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠"])
def test_a_name_that_begins_like_a_formula_is_a_text(begin: str) -> None:
    assert written(f"{begin}HYPERLINK(1)") == f"'{begin}HYPERLINK(1)"


@pytest.mark.parametrize("cell", ["-12", "-12.5", "0", "12.50", "Ärger", "a=b", "", "−3", "2031-03-04"])
def test_numbers_names_and_dates_are_left_as_they_are(cell: str) -> None:
    assert written(cell) == cell


def test_the_file_says_that_it_is_utf_8_and_is_read_again_with_or_without_that() -> None:
    body = bytes(csv_file("x", ("name", "note"), [("Jörg Überall", "−3")]).body)
    assert body.startswith(b"\xef\xbb\xbfname,")
    for content in (body, body.removeprefix(b"\xef\xbb\xbf")):
        (row,) = read_csv(content, ("name", "note"), ("name",)).rows
        assert row.cells == {"name": "Jörg Überall", "note": "−3"}
