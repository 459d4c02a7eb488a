"""The words of the page: lengths of time, short forms, aims."""

import re
from collections.abc import Iterable, Mapping

from solver.names import AimName

AIM_WORDS: Mapping[AimName, str] = {
    "placed": "points of priority left out",
    "stable": "points of change from what was told",
    "wish": "minutes from wish",
    "therapist": "visits with another therapist than wished",
    "wait": "minutes of waiting within visits",
    "finish": "minutes from opening to the last end",
}
AIM_HELP: Mapping[AimName, str] = {
    "placed": "the priorities of the visits left out, added up",
    "stable": "minutes moved from the published start, and 10 for each other unit or therapist",
    "wish": "minutes between the wished and the planned start, over all visits with a wish",
    "therapist": "visits that wished for a therapist and have another",
    "wait": "minutes between a part's end and the next part's start, over all visits",
    "finish": "minutes from opening until the last part of the day ends",
}


def length(minutes: int) -> str:
    """``95`` → ``"1 h 35 min"``."""
    hours, rest = divmod(minutes, 60)
    if not hours:
        return f"{rest} min"
    return f"{hours} h {rest} min" if rest else f"{hours} h"


def counted(number: int, one: str, many: str | None = None) -> str:
    """``1, "visit"`` → ``"1 visit"``; ``3`` → ``"3 visits"``."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def listed(words: Iterable[str]) -> str:
    """``["a", "b", "c"]`` → ``"a, b and c"``."""
    known = list(words)
    return " and ".join([", ".join(known[:-1]), known[-1]]) if len(known) > 1 else "".join(known)


def short_name(name: str) -> str:
    """Initials of a name of several words; else the number at its end; else its first two letters."""
    number = re.search(r"\d+$", name)
    if number:
        return name[number.start() :]
    initials = [word[0] for word in name.split() if word[0].isalpha()]
    return (initials[0] + initials[-1]).upper() if len(initials) > 1 else name[:2]


def width_class(name: str) -> str:
    """How much room the full name takes, as one of the style sheet's steps of 4 letters; ``xx``: it is never shown."""
    for letters in (4, 8, 12, 16, 20, 24):
        if len(name) <= letters:
            return f"w{letters}"
    return "xx"


def short_outputs(outputs: Iterable[str]) -> dict[str, str]:
    """The shortest beginnings, of two letters or more, that tell the outputs apart."""
    names = sorted(set(outputs))
    for letters in range(2, max(map(len, names), default=2)):
        shorts = [name[:letters] for name in names]
        if len(set(shorts)) == len(names):
            return dict(zip(names, shorts, strict=True))
    return {name: name for name in names}


def from_wish(start: int, wish: int) -> str:
    """How far a start is from its wish, in words."""
    if start == wish:
        return "starts as wished"
    return f"starts {length(abs(start - wish))} {'later' if start > wish else 'earlier'} than wished"
