"""Fields of a set-up form made of its values and faults, and what they offer to choose from."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from app.views.forms import Field, choice

Values = Mapping[str, Any]
Faults = Mapping[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What the fields offer to choose from: names by code."""

    places: Mapping[str, str]
    units: Mapping[str, str]
    skills: Sequence[str]
    zones: Sequence[str]


@dataclass(frozen=True, slots=True)
class Filling:
    """Makes fields of a form's values and faults."""

    values: Values
    faults: Faults

    def text(self, name: str, label: str, help: str = "", **more: Any) -> Field:
        value, fault = str(self.values.get(name, "")), self.faults.get(name, "")
        return Field(name=name, label=label, value=value, help=help, fault=fault, **more)

    def checks(self, name: str, label: str, help: str, pairs: Mapping[str, str], chosen: Sequence[str]) -> Field:
        fault = self.faults.get(name, "")
        options = choice(pairs.items(), chosen)
        return Field(name=name, label=label, help=help, fault=fault, kind="checks", options=options)

    def cell(self, name: str, number: int, label: str, suggested: Sequence[str] = ()) -> Field:
        values = self.values.get(name, ())
        return Field(
            name=f"{name}[{number}]",
            label=label,
            value=values[number] if number < len(values) else "",
            fault=self.faults.get(f"{name}[{number}]", ""),
            suggested=tuple(suggested),
        )


def code_field(field: Filling, example: str) -> Field:
    """A code is given once and stays."""
    locked = bool(field.values.get("code_is_kept"))
    return field.text(
        "code", "Code", f"What files and lists call it, {example}. It cannot be changed later.", locked=locked
    )
