"""Forms as a template draws them: fields with their help and faults, grouped, and rows of like fields."""

from collections.abc import Iterable, Mapping
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
    """Fields one below the other, then rows under one heading each. ``heads``: of the rows' columns."""

    title: str
    help: str = ""
    fields: tuple[Field, ...] = ()
    heads: tuple[str, ...] = ()
    rows: tuple[Row, ...] = ()


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
    """A whole form. ``hidden`` goes with it. ``faults``: those that belong to no field. ``broken``: what saving it
    would break, and then ``save`` says that it is saved all the same."""

    title: str
    lead: str
    action: str
    back: str
    save: str
    hidden: tuple[tuple[str, str], ...]
    groups: tuple[Group, ...]
    faults: tuple[str, ...] = ()
    broken: tuple[Broken, ...] = ()


def choice(pairs: Iterable[tuple[str, str]], chosen: Iterable[str]) -> tuple[Option, ...]:
    """Options of values and texts."""
    wanted = set(chosen)
    return tuple(Option(value=value, text=text, chosen=value in wanted) for value, text in pairs)


def unplaced(faults: Mapping[str, str], groups: Iterable[Group]) -> tuple[str, ...]:
    """The faults whose field is in none of the groups, so that none is lost."""
    shown = tuple(
        field.name
        for group in groups
        for field in (*group.fields, *(field for row in group.rows for field in row.fields))
    )
    inner = tuple(f"{name}{sign}" for name in shown for sign in ".[")
    return tuple(
        f"{where}: {text}" for where, text in faults.items() if where not in shown and not where.startswith(inner)
    )
