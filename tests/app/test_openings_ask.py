"""What the desk types into the Openings page, and the address that it makes."""

import pytest

from app.views.openings_ask import Ask, ask_of, ask_of_text, clock_typed


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("9", "09:00"),
        ("14", "14:00"),
        ("930", "09:30"),
        ("0930", "09:30"),
        ("9:30", "09:30"),
        ("9.05", "09:05"),
        ("24", ""),
        ("9:60", ""),
        ("25:00", ""),
        ("-1", ""),
        ("soon", ""),
        ("", ""),
        ("٩", ""),
    ],
)
def test_a_time_is_read_as_people_type_it(typed: str, read: str) -> None:
    assert clock_typed(typed) == read


def test_an_address_gives_back_what_was_asked() -> None:
    ask = Ask(patient="3", what="t4", weekdays="024", wish="10:00", date="2031-03-10", at="09:30", same_unit="1")
    assert ask_of_text(ask.query()) == ask
    assert ask.address(date="", at="") == "/openings?patient=3&what=t4&weekdays=024&wish=10%3A00&same_unit=1"
    assert Ask().address() == "/openings"


def test_what_cannot_be_read_is_dropped() -> None:
    given = {"patient": "0", "second": "x", "first": "2031-13-01", "date": "20310310", "wish": "99", "other": "1"}
    assert ask_of(given, ["0", "9", "x", "0"]) == Ask(weekdays="0")
    assert len(ask_of({"tag": "t" * 500}).tag) < 100


@pytest.mark.parametrize("text", ["0", "-1", "1.5", "9999999999", "٣", ""])
def test_no_number_is_made_of_what_is_none(text: str) -> None:
    assert Ask(patient=text).patient_id is None
