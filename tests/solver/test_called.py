"""What resources are called: a unit, a place, a bay, a pool, an item and a therapist may all have one id."""

import pytest

from app.views.openings_words import reason_line
from solver.called import called
from solver.names import RuleName
from solver.problem import Day
from tests.builders import a_channel, a_day, a_place, a_therapist, a_unit, a_visit, an_applicator


@pytest.fixture
def day() -> Day:
    return a_day(
        a_visit(id="A"),
        units=(a_unit("A", name="Rowan", channels=(a_channel("u1", "ultrasound"),), places=("A",)),),
        places=(a_place("A", name="Front", bays=("A",)),),
        staff=(a_therapist("A", name="Tess Therapist"),),
        applicators=(an_applicator("A", name="Sound heads", items=("A", "B")),),
    )


@pytest.mark.parametrize(
    ("rule", "resource", "name"),
    [
        ("battery", "A", "Rowan"),
        ("place", "A", "Rowan"),
        ("hours", "A", "Rowan"),
        ("channels", "A u1", "Rowan, u1"),
        ("channels", "A", "Rowan"),
        ("bay", "A", "Front, bay A"),
        ("applicator", "B", "Sound heads, B"),
        ("hands", "A", "Tess Therapist"),
        ("therapist", "A", "Tess Therapist"),
        ("watch", "watch", None),
        ("hours", "clinic", None),
        ("grid", "A", None),
    ],
)
def test_the_rule_says_which_of_the_things_of_one_id_is_meant(
    day: Day, rule: RuleName, resource: str, name: str | None
) -> None:
    assert called(day, rule, resource) == name


def test_the_desk_is_told_the_unit_and_not_the_therapist_of_its_id(day: Day) -> None:
    assert reason_line("battery", "A", (540, 550), [], "", day).what == "Rowan"
    assert reason_line("hands", "A", (540, 550), [], "", day).what == "Tess Therapist"
    assert reason_line("watch", "watch", (540, 550), [], "", day).what == "watch"
