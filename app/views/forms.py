"""Forms as a template draws them: fields with their help and faults, grouped, and rows of like fields."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

FieldKind = Literal["text", "number", "date", "choice", "checks", "long"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    value: str
    text: str
    chosen: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One field. ``options``: of a choice or of checks. ``suggested``: what may be typed, among other things."""

    name: str
    label: str
    value: str = ""
    help: str = ""
    fault: str = ""
    kind: FieldKind = "text"
    options: tuple[Option, ...] = ()
    suggested: tuple[str, ...] = ()
    locked: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """Like fields side by side under one label."""

    label: str
    fields: tuple[Field, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Fields one below the other, then rows under one heading each. ``heads``: of the rows' columns. ``copies``: how
    many rows after the first a button gives the texts of the first, where scripts run; ``copy``: what it says."""

    title: str
    help: str = ""
    fields: tuple[Field, ...] = ()
    heads: tuple[str, ...] = ()
    rows: tuple[Row, ...] = ()
    copies: int = 0
    copy: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Broken:
    """A booked visit that a change would break: when, which, whose, and why, a line each."""

    date: str
    address: str
    visit: str
    patient: str
    start: str
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FormView:
    """A whole form. ``hidden`` goes with it. ``faults``: those that belong to no field; ``wrong``: the others, each the
    field's name, its label and the fault. ``broken``: what saving it would break, and then ``save`` says that it is
    saved all the same. ``busy``: what is told while it is being saved, empty for what takes no time."""

    title: str
    lead: str
    action: str
    back: str
    save: str
    hidden: tuple[tuple[str, str], ...]
    groups: tuple[Group, ...]
    faults: tuple[str, ...] = ()
    wrong: tuple[tuple[str, str, str], ...] = ()
    broken: tuple[Broken, ...] = ()
    busy: str = ""


def choice(pairs: Iterable[tuple[str, str]], chosen: Iterable[str]) -> tuple[Option, ...]:
    """Options of values and texts."""
    wanted = set(chosen)
    return tuple(Option(value=value, text=text, chosen=value in wanted) for value, text in pairs)


def fields_of(groups: Iterable[Group]) -> Iterator[Field]:
    for group in groups:
        yield from group.fields
        for row in group.rows:
            yield from row.fields


def unplaced(faults: Mapping[str, str], groups: Iterable[Group]) -> tuple[str, ...]:
    """The faults whose field is in none of the groups, so that none is lost."""
    shown = {field.name for field in fields_of(groups)}
    return tuple(f"{where}: {text}" if shown else text for where, text in faults.items() if where not in shown)


def placed(groups: Iterable[Group]) -> tuple[tuple[str, str, str], ...]:
    """Name, label and fault of each field that has one, in the order of the form."""
    return tuple((field.name, field.label, field.fault) for field in fields_of(groups) if field.fault)


def checking_words(days: int) -> str:
    """What is told while a change is being saved that so many booked days are checked for."""
    if not days:
        return "Saving…"
    return f"Checking {days} booked day{'s' if days != 1 else ''}… This may take some seconds."
