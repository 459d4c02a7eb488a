"""What a resource is called that is named beside a rule.

Ids are unique within one kind of thing only: a unit, a place and a therapist may all be ``A``. The rule says which.
"""

from collections.abc import Mapping
from typing import Literal, get_args

from solver.names import RuleName
from solver.problem import Day

Kind = Literal["unit", "channel", "place", "bay", "item", "applicator", "staff"]
KINDS: tuple[Kind, ...] = get_args(Kind)
_OF: Mapping[RuleName, tuple[Kind, ...]] = {
    "hours": ("unit",),
    "unit": ("unit", "place"),
    "channels": ("channel", "unit"),
    "patients": ("unit",),
    "place": ("unit",),
    "bay": ("bay",),
    "suction": ("unit",),
    "applicator": ("item", "applicator"),
    "hands": ("staff",),
    "therapist": ("staff",),
    "break": ("staff",),
    "battery": ("unit",),
    "fixed": KINDS,
}
"""The kinds of things that a rule may name, the likeliest first. What is fixed may be any of them."""


def called(day: Day, rule: RuleName, resource: str) -> str | None:
    """None where the rule names no thing of the day so: all staff, the clinic, a visit."""
    return next((name for kind in _OF.get(rule, ()) if (name := _names(day, kind).get(resource)) is not None), None)


def _names(day: Day, kind: Kind) -> dict[str, str]:
    match kind:
        case "unit":
            return {unit.id: unit.name for unit in day.units}
        case "channel":
            return {f"{unit.id} {one.id}": f"{unit.name}, {one.id}" for unit in day.units for one in unit.channels}
        case "place":
            return {place.id: place.name for place in day.places}
        case "bay":
            return {bay: f"{place.name}, bay {bay}" for place in day.places for bay in place.bays}
        case "item":
            return {item: f"{pool.name}, {item}" for pool in day.applicators for item in pool.items}
        case "applicator":
            return {pool.id: pool.name for pool in day.applicators}
        case "staff":
            return {member.id: member.name for member in day.staff}
