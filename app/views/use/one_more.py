"""The page on one more, or one less, of something."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from app.views.use.tables import Names, name_of
from app.views.words import AIM_WORDS
from solver.names import AimName
from solver.variants import Kind

KIND_WORDS: Mapping[Kind, str] = {
    "unit": "one more unit",
    "channel": "one more channel",
    "item": "one more applicator item",
    "bay": "one more bay",
    "therapist hour": "one more therapist hour",
    "unit away": "a unit away",
}
_TABLE_OF = {"item": "applicators", "therapist hour": "staff"}
_LENGTH = 160


@dataclass(frozen=True, slots=True)
class Row:
    """``visits``, ``minutes`` and ``finish``: what is gained in the plans found, with its sign; a loss is negative.

    ``bar``: the length of what is gained in visits, ``before`` where it begins, of a drawing 320 wide.
    """

    what: str
    of: str
    visits: str
    minutes: str
    finish: str
    verdict: str
    affected: str
    before: float
    bar: float


@dataclass(frozen=True, slots=True)
class KindBox:
    """A kind to choose."""

    kind: str
    words: str
    chosen: bool


@dataclass(frozen=True, slots=True)
class Running:
    """``percent`` of the days are planned."""

    done: int
    of: int
    percent: int
    cancelling: bool


def kind_boxes(chosen: tuple[str, ...]) -> tuple[KindBox, ...]:
    return tuple(KindBox(kind, words, kind in chosen) for kind, words in KIND_WORDS.items())


def rows(found: Mapping[str, Any], names: Names) -> tuple[Row, ...]:
    """In the order of the day; bars are drawn to the greatest number of visits gained or lost."""
    own = found["day"]
    gains = [_gained(own["left_out"], each["left_out"]) for each in found["variants"]]
    most = max((abs(gain) for gain in gains if gain is not None), default=0) or 1
    return tuple(_row(own, each, gain, most, names) for each, gain in zip(found["variants"], gains, strict=True))


def _row(own: Mapping[str, Any], each: Mapping[str, Any], gain: int | None, most: int, names: Names) -> Row:
    bar = _LENGTH * abs(gain or 0) / most
    scores: Mapping[str, int] = each["scores"]
    return Row(
        what=KIND_WORDS[each["kind"]],
        of=name_of(names, _table(each["kind"], each["of"]), each["of"]),
        visits=_signed(gain),
        minutes=_signed(_gained(own["scores"].get("wish"), scores.get("wish"))),
        finish=_signed(_gained(own["scores"].get("finish"), scores.get("finish"))),
        verdict=_verdict(each["status"], each["aim"], each["gain"], each["verdict"]),
        affected=", ".join(each["affected"]),
        before=_LENGTH - bar if (gain or 0) < 0 else _LENGTH,
        bar=bar,
    )


def _table(kind: str, of: str) -> str:
    if kind == "channel":
        return "channels"
    return _TABLE_OF.get(kind, "bays" if kind == "bay" else "units")


def _gained(own: int | None, other: int | None) -> int | None:
    return None if own is None or other is None else own - other


def _signed(number: int | None) -> str:
    """Such as ``+3``; empty where there is no number."""
    if number is None:
        return ""
    return f"−{-number}" if number < 0 else f"+{number}" if number else "0"


def _verdict(status: str, aim: AimName | None, gain: int | None, verdict: str) -> str:
    if gain is None:
        return "proved: there is no plan" if status == "infeasible" else "open: no plan was found in the time"
    if aim is None:
        return "proved: nothing in any aim"
    if not gain:
        return f"open: as many {AIM_WORDS[aim]} in the plans found"
    how = "fewer" if gain > 0 else "more"
    words = f"{abs(gain)} {how} {AIM_WORDS[aim]}"
    if verdict == "proved":
        return f"proved: {words}"
    return f"proved: at least {words}" if verdict == "at least" else f"open: {words} in the plans found"
