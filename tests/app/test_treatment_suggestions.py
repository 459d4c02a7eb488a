"""Suggestions have sources, and starting points set nothing."""

from typing import Any

import pytest

from app.services.treatments.form import read_form
from app.services.treatments.starting_points import starting_points
from app.services.treatments.suggestions import SUGGESTIONS, suggestions_for
from solver.errors import InputError


@pytest.mark.parametrize("form", starting_points(), ids=lambda form: form["name"])
def test_a_starting_point_lacks_its_minutes_and_nothing_else(form: dict[str, Any]) -> None:
    assert form["name"].endswith("(invented)")
    with pytest.raises(InputError) as refused:
        read_form(form, frozenset(), frozenset())
    phases = [f"parts[{i}].phases[{j}].min" for i, part in enumerate(form["parts"]) for j in range(len(part["phases"]))]
    assert [fault.where for fault in refused.value.faults] == phases
    for part in form["parts"]:
        for phase in part["phases"]:
            phase["min"] = "5"
    read = read_form(form, frozenset(), frozenset())
    assert all(settings["intensity_high"] is None for settings in read.settings)


def test_each_suggestion_has_a_source_and_is_of_an_output() -> None:
    assert all(known.source and known.text for known in SUGGESTIONS)
    (most,) = suggestions_for("intensity_high", ("ultrasound",))
    assert (most.text, most.source) == ("at most 3 W/cm²", "Health Canada, Safety Code 23")
    assert suggestions_for("intensity_high") == ()
