"""The form of the page on how robust a plan is: each setting with what was published of it, and by whom."""

from collections.abc import Mapping
from dataclasses import dataclass

from solver.simulation import Settings

SETTINGS: tuple[tuple[str, str, str], ...] = (
    (
        "late_share",
        "Patients who come late, %",
        "Published: 7.7 % were late by a minute or more (Williams 2014, BMJ Open 4:e004679).",
    ),
    (
        "late_mean",
        "Late by, minutes on the average",
        "Published: 20.5 (the same). How lateness is spread is not: a geometric one of whole minutes is our choice.",
    ),
    (
        "missed_share",
        "Visits that are missed, %",
        "Published: 6.9 % of English outpatients 2013/14. Others found 38.4 % (de Klerk 2019), 52.5 % (Fatoye) and "
        "57.3 % (Mbada 2013): give your own.",
    ),
    (
        "overrun_share",
        "Hands-on phases that overrun, %",
        "No published figure was found: your own. 0 for none.",
    ),
    (
        "overrun_mean",
        "Longer by, minutes on the average",
        "No published figure was found: your own. They are spread as lateness is.",
    ),
    (
        "late_limit",
        "Missed when later than, minutes",
        "No published figure was found: your own. 0 where everybody is waited for.",
    ),
)
"""Name, label and help of each."""


@dataclass(frozen=True, slots=True)
class Setting:
    """A field of the form."""

    name: str
    label: str
    value: str
    help: str
    fault: str
    whole: bool


def settings(given: Mapping[str, str], faults: Mapping[str, str]) -> tuple[Setting, ...]:
    return tuple(
        Setting(name, label, given[name], text, faults.get(name, ""), name == "late_limit")
        for name, label, text in SETTINGS
    )


def as_typed(chosen: Settings) -> dict[str, str]:
    """The settings as texts of the form, shares as per cent."""
    return {
        "late_share": f"{100 * chosen.late_share:g}",
        "late_mean": f"{chosen.late_mean:g}",
        "missed_share": f"{100 * chosen.missed_share:g}",
        "overrun_share": f"{100 * chosen.overrun_share:g}",
        "overrun_mean": f"{chosen.overrun_mean:g}",
        "late_limit": str(chosen.late_limit),
    }
