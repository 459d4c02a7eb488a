"""What a text that somebody typed, or that stands in an address, means; None where it means nothing of the kind."""

import datetime
import re

MOST_DIGITS = 9
"""So many fit the ids and counts of every database."""
_DECIMAL = re.compile(r"[0-9]{1,6}([.,][0-9]{1,4})?")


def whole(text: str, digits: int = MOST_DIGITS) -> int | None:
    """A whole number from 0, of at most so many digits."""
    return int(text) if text.isascii() and text.isdigit() and len(text) <= digits else None


def date_of(text: str) -> datetime.date | None:
    """The date of ``2031-03-10``; any other way to write one is none, so that each has one address."""
    try:
        date = datetime.date.fromisoformat(text)
    except ValueError:
        return None
    return date if date.isoformat() == text else None


def decimal_of(text: str) -> float | None:
    """A number from 0 with at most four digits behind the point, or the comma; None for anything else."""
    return float(text.replace(",", ".")) if _DECIMAL.fullmatch(text) else None
