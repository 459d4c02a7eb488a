"""Dates as commands are given them."""

from datetime import date

from app.typed import date_of
from solver.errors import Fault, InputError


def date_given(text: str) -> date:
    """Raises InputError where it is none."""
    given = date_of(text)
    if given is None:
        raise InputError([Fault("DATE", f"{text!r} is no date", "give one such as 2031-03-04")])
    return given
