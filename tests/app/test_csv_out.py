"""Tables as CSV: what a spreadsheet would run is a text there, and what is a number stays one."""

import csv
import io

import pytest

from app.routes.csv_out import csv_file


def written(cell: str) -> str:
    body = bytes(csv_file("x", ("a",), [(cell,)]).body).decode()
    return list(csv.reader(io.StringIO(body, newline="")))[1][0]


@pytest.mark.parametrize("begin", ["=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠"])
def test_a_name_that_begins_like_a_formula_is_a_text(begin: str) -> None:
    assert written(f"{begin}HYPERLINK(1)") == f"'{begin}HYPERLINK(1)"


@pytest.mark.parametrize("cell", ["-12", "0", "12.50", "Ärger", "a=b", "", "−3", "2031-03-04"])
def test_numbers_names_and_dates_are_left_as_they_are(cell: str) -> None:
    assert written(cell) == cell
