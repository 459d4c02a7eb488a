"""Texts of forms and what they say, both ways. What a text does not say is left as it is, for a reader to refuse."""

import csv
import io
import re
from collections.abc import Iterable, Sequence
from typing import Any

from solver.clock import Interval, clock

_SPAN = re.compile(r"\s*([0-9:]+)\s*[-–]\s*([0-9:]+)\s*")
_BREAK = re.compile(r"\s*([0-9]+)\s+in\s+(.*)", re.DOTALL)
_WATTS = re.compile(r"(.*\S)\s+([0-9]+)", re.DOTALL)
_LONGEST = 10_000
_DIGITS = re.compile(r"[0-9]{1,9}", re.ASCII)


def listed(text: str) -> list[str]:
    """``'pads, "cups, small"'`` → ``["pads", "cups, small"]``. A text that is far too long for it is one entry."""
    line = " ".join(text.splitlines())
    if len(line) > _LONGEST:
        return [line]
    rows = list(csv.reader([line], skipinitialspace=True)) if line.strip() else []
    return [entry.strip() for row in rows for entry in row if entry.strip()]


def as_list(entries: Iterable[str]) -> str:
    """``listed`` the other way round."""
    return ", ".join(_quoted(entry) for entry in entries)


def _quoted(entry: str) -> str:
    if "," not in entry and '"' not in entry:
        return entry
    out = io.StringIO()
    csv.writer(out, quoting=csv.QUOTE_ALL, lineterminator="").writerow([entry])
    return out.getvalue()


def number(text: str) -> int | str:
    """``"20"`` → 20; any other text stays."""
    return int(text) if _DIGITS.fullmatch(text.strip()) else text


def interval(text: str) -> list[str] | str:
    """``"09:00-17:00"`` → ``["09:00", "17:00"]``; ``"9:00"`` is 09:00; any other text stays."""
    found = _SPAN.fullmatch(text)
    return [time(part) for part in found.groups()] if found else text


def time(text: str) -> str:
    """``"9:30"`` → ``"09:30"``."""
    text = text.strip()
    return f"0{text}" if re.fullmatch("[0-9]:[0-9]{2}", text) else text


def intervals(text: str) -> list[list[str] | str]:
    return [interval(entry) for entry in listed(text)]


def breaks(text: str) -> list[Any]:
    """``"30 in 12:00-14:00"`` → ``[{"min": 30, "between": ["12:00", "14:00"]}]``; any other entry stays."""
    return [_break(entry) for entry in listed(text)]


def _break(entry: str) -> Any:
    found = _BREAK.fullmatch(entry)
    return {"min": int(found[1]), "between": interval(found[2])} if found else entry


def watts(text: str) -> dict[str, int | str]:
    """``"ultrasound 20, pads 6"`` → ``{"ultrasound": 20, "pads": 6}``; an entry without a number has its text."""
    found = [(entry, _WATTS.fullmatch(entry)) for entry in listed(text)]
    return {match[1] if match else entry: int(match[2]) if match else entry for entry, match in found}


def as_intervals(spans: Sequence[Interval]) -> str:
    return ", ".join(f"{clock(start)}-{clock(end)}" for start, end in spans)
