"""What typed texts mean."""

from datetime import date

import pytest

from app.typed import date_of, decimal_of, whole


@pytest.mark.parametrize("text", ["-1", "1.5", "9999999999", "٣", "", " 3", "+3", "1e3"])
def test_no_number_is_made_of_what_is_none(text: str) -> None:
    assert whole(text) is None


def test_a_number_has_no_more_digits_than_are_asked_for() -> None:
    assert (whole("0"), whole("007"), whole("999"), whole("1000", digits=3)) == (0, 7, 999, None)


@pytest.mark.parametrize("text", ["2031-W11-1", "20310310", "2031-02-30", "2031-3-1", "today", ""])
def test_a_date_has_one_way_to_be_written(text: str) -> None:
    assert date_of("2031-03-10") == date(2031, 3, 10)
    assert date_of(text) is None


@pytest.mark.parametrize(
    "text", ["", "-1", ".5", "1.", "1e3", "nan", "inf", "1.23456", "1234567", "٣.5", " 1", "1.2.3"]
)
def test_a_number_with_a_point_is_written_plainly(text: str) -> None:
    assert decimal_of(text) is None


def test_a_comma_is_as_good_as_a_point() -> None:
    assert (decimal_of("7"), decimal_of("7.7"), decimal_of("20,5")) == (7.0, 7.7, 20.5)
