"""What the desk asked for, as it stands in the address. People are there by their numbers, never by name."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace
from urllib.parse import parse_qsl, urlencode

from app.typed import date_of, whole
from solver.clock import DAY_MIN, Interval, clock, parse_clock

PATH = "/openings"
LENGTHS = (1, 7, 14, 28)
"""Days to look at."""
_LONGEST = 60
_TIMES = {"after": "Free from", "before": "until", "wish": "Wished start", "why": "Why not then"}
_MIDNIGHT = re.compile(r"24[:.]?(00)?", re.ASCII)
_TYPED = re.compile(r"([0-9]{1,2})[:.]?([0-9]{2})?", re.ASCII)


@dataclass(frozen=True, slots=True)
class Ask:
    """Texts as they were given; empty: not asked for.

    ``what``: the key of a course or a treatment, for ``patient``; ``second`` and ``second_what``: of somebody treated
    at the same time. ``first`` and ``days``: which dates; ``weekdays``: digits, 0 is Monday; ``after`` and ``before``:
    when the patient is free; ``wish``: the wished start. ``date`` and ``at``: the start that was chosen; ``why_date``
    and ``why``: the start that is asked about; ``room``: the date on which others might move. ``walk``: here and now.
    ``move`` and ``move_date``: the visit that is to be moved. ``waiting``: the entry of the waiting list that
    is booked.
    """

    patient: str = ""
    what: str = ""
    first: str = ""
    days: str = ""
    weekdays: str = ""
    after: str = ""
    before: str = ""
    wish: str = ""
    therapist: str = ""
    must: str = ""
    tag: str = ""
    date: str = ""
    at: str = ""
    why_date: str = ""
    why: str = ""
    room: str = ""
    second: str = ""
    second_what: str = ""
    same_unit: str = ""
    walk: str = ""
    move: str = ""
    move_date: str = ""
    waiting: str = ""

    def address(self, **changes: str) -> str:
        """The address of the page with some of it changed."""
        query = self.query(**changes)
        return f"{PATH}?{query}" if query else PATH

    def query(self, **changes: str) -> str:
        return urlencode(replace(self, **changes).given())

    def given(self) -> dict[str, str]:
        """What is asked for, by name."""
        named = {field.name: getattr(self, field.name) for field in fields(self)}
        return {name: value for name, value in named.items() if value}

    @property
    def patient_id(self) -> int | None:
        return whole(self.patient) or None

    @property
    def second_id(self) -> int | None:
        return whole(self.second) or None

    @property
    def waiting_id(self) -> int | None:
        return whole(self.waiting) or None

    @property
    def length(self) -> int:
        """How many days are looked at."""
        wanted = whole(self.days)
        return wanted if wanted in LENGTHS else LENGTHS[-1]


def ask_of(query: Mapping[str, str], weekdays: list[str] | None = None) -> Ask:
    """Read a query; what cannot be read is dropped. ``weekdays``: where each is a field of its own."""
    texts = {field.name: query.get(field.name, "").strip()[:_LONGEST] for field in fields(Ask)}
    texts = {name: text if text.isprintable() else "" for name, text in texts.items()}
    digits = "".join(weekdays) if weekdays is not None else texts["weekdays"]
    texts["weekdays"] = "".join(sorted({digit for digit in digits if digit in "0123456"}))
    for name in ("after", "before", "wish", "at", "why"):
        texts[name] = clock_typed(texts[name])
    for name in ("first", "date", "why_date", "room", "move_date"):
        texts[name] = texts[name] if date_of(texts[name]) is not None else ""
    for name in ("patient", "second", "waiting"):
        texts[name] = texts[name] if whole(texts[name]) else ""
    return Ask(**texts)


def ask_of_text(query: str) -> Ask:
    """The same from a query as one text."""
    return ask_of(dict(parse_qsl(query)))


def faults_of(query: Mapping[str, str], ask: Ask) -> tuple[str, ...]:
    """A line for each time that was typed and is not held to."""
    faults = []
    for name, label in _TIMES.items():
        text = query.get(name, "").strip()
        if text and not clock_typed(text) and not (name == "before" and _MIDNIGHT.fullmatch(text)):
            faults.append(f"{label}: {text[:20]!r} is no time; type one such as 930 or 9:30")
    if ask.before and (parse_clock(ask.before) or DAY_MIN) <= (parse_clock(ask.after) or 0):
        faults.append(f"Free from {ask.after} until {ask.before}: the end is not after the start; neither is held to")
    return tuple(faults)


def ask_hours(hours: Sequence[Interval]) -> tuple[str, str]:
    """``after`` and ``before`` for somebody's hours; empty where they have none, or several, which no form holds."""
    if len(hours) != 1:
        return "", ""
    start, end = hours[0]
    return clock(start), "" if end == DAY_MIN else clock(end)


def clock_typed(text: str) -> str:
    """``9``, ``930``, ``9:30`` and ``9.30`` as ``HH:MM``; empty for what is no time."""
    found = _TYPED.fullmatch(text)
    if found is None:
        return ""
    minute = parse_clock(f"{int(found[1]):02}:{found[2] or '00'}")
    return "" if minute is None or minute == DAY_MIN else clock(minute)
