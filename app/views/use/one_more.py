"""The page on one more, or one less, of something: what each is worth on one day, or on several days together."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from app.views.use.gained import Gained, gained
from app.views.use.tables import Names, Table, name_of
from app.views.words import AIM_WORDS, counted, length
from solver.names import AimName
from solver.variants import Kind
from solver.whatif import Comparison

KIND_WORDS: Mapping[Kind, str] = {
    "unit": "one more unit",
    "channel": "one more channel",
    "item": "one more applicator item",
    "bay": "one more bay",
    "therapist hour": "one more therapist hour",
    "unit away": "a unit away",
}
COLUMNS = (
    *("with", "of", "days", "days without a plan", "visits gained", "minutes from wish gained"),
    *("minutes earlier at the end", "verdict", "counted in", "gain found", "at least", "at most"),
)
_TABLE_OF = {"item": "applicators", "therapist hour": "staff", "channel": "channels", "bay": "places"}
_LENGTH = 160


@dataclass(frozen=True, slots=True)
class Row:
    """``visits``, ``minutes`` and ``finish``: what is gained in the plans found, with its sign; a loss is negative.

    ``days``: on how many it was compared. ``bar``: the length of what is gained in visits, ``before`` where it begins,
    of a drawing 320 wide.
    """

    what: str
    of: str
    days: int
    visits: str
    minutes: str
    finish: str
    verdict: str
    before: float
    bar: float
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class KindBox:
    """A kind to choose."""

    kind: str
    words: str
    chosen: bool


def kind_boxes(chosen: tuple[str, ...]) -> tuple[KindBox, ...]:
    return tuple(KindBox(kind, words, kind in chosen) for kind, words in KIND_WORDS.items())


def rows(days: Sequence[Comparison], names: Names) -> tuple[Row, ...]:
    """In the order of the days; gains are added up. Bars are drawn to the greatest number gained or lost."""
    sums = gained(days)
    most = max((abs(each.visits) for each in sums if each.visits is not None), default=0) or 1
    return tuple(_row(each, most, names) for each in sums)


def day_table(days: Iterable[tuple[str, Comparison]], names: Names) -> Table:
    """Each row of each day, by what the day is called."""
    cells = [(day, *row.cells[:2], *row.cells[4:]) for day, one in days for row in rows([one], names)]
    columns = ("day", *COLUMNS[:2], *COLUMNS[4:])
    return Table("days", "Day by day", columns, tuple(cells), (1, 2, 6, 7))


def at_most(searches: int, seconds: int) -> str:
    """How long all of it takes at most, two searches at a time."""
    minutes = -(-searches * seconds // 120)
    return f"{length(minutes)} in all at most"


def _row(each: Gained, most: int, names: Names) -> Row:
    visits = each.visits or 0
    bar = _LENGTH * abs(visits) / most
    what, of = KIND_WORDS[each.kind], name_of(names, _TABLE_OF.get(each.kind, "units"), each.of)
    word, words = _verdict(each)
    numbers = (each.visits, each.minutes, each.finish)
    aim = "" if each.aim is None else AIM_WORDS[each.aim]
    bounds = ("", "", "") if each.aim is None else (str(each.found), str(each.least), str(each.most))
    return Row(
        what=what,
        of=of,
        days=each.days,
        visits=_signed(each.visits),
        minutes=_signed(each.minutes),
        finish=_signed(each.finish),
        verdict=f"{word}: {words}{_without(each)}",
        before=_LENGTH - bar if visits < 0 else _LENGTH,
        bar=bar,
        cells=(what, of, str(each.days), str(each.unplanned), *map(_number, numbers), word, aim, *bounds),
    )


def _number(number: int | None) -> str:
    return "" if number is None else str(number)


def _signed(number: int | None) -> str:
    """Such as ``+3``; empty where there is no number."""
    if number is None:
        return ""
    return f"−{-number}" if number < 0 else f"+{number}" if number else "0"


def _verdict(each: Gained) -> tuple[str, str]:
    """Whether it is proved or open, and what: what the plans found gain, and between what it lies."""
    if each.unplanned == each.days:
        return ("proved", "there is no plan") if each.impossible else ("open", "no plan was found in the time")
    if each.aim is None:
        return "proved", "nothing in any aim"
    words = _amount(each.aim, each.even, each.found)
    if each.least == each.most:
        return "proved", words
    return "open", f"{words} in the plans found, {_between(each)}"


def _amount(aim: AimName, even: bool, number: int) -> str:
    if aim == "placed" and even:
        if not number:
            return "no visit gained"
        return f"{counted(abs(number), 'visit')} {'gained' if number > 0 else 'lost'}"
    if not number:
        return f"as many {AIM_WORDS[aim]}"
    return f"{abs(number)} {'fewer' if number > 0 else 'more'} {AIM_WORDS[aim]}"


def _between(each: Gained) -> str:
    """Between what the gain lies, or the loss, whatever more time would find; where it may be either, both."""
    least, most = each.least, each.most
    more, fewer = ("lost", "gained") if each.aim == "placed" and each.even else ("more", "fewer")
    if least < 0 < most:
        return f"at most {most} {fewer} and {-least} {more}"
    low, high, way = (least, most, fewer) if least >= 0 else (-most, -least, more)
    words = f"at least {low}, at most {high}" if low else f"at most {high}"
    return words if each.found else f"{words} {way}"


def _without(each: Gained) -> str:
    """On how many of the days there is no plan with it, where there is one on others."""
    if not each.unplanned or each.unplanned == each.days:
        return ""
    return f"; no plan on {each.unplanned} of {each.days} days"
