"""The page's words."""

import pytest

from app.views.cautions import RAND, questions
from app.views.summary import aim_lines, summary, verdict
from app.views.words import from_wish, length, listed, short_name, short_outputs, width_class
from solver.names import AimName, PlanStatus
from solver.schedule import Plan
from tests.builders import a_day, a_visit


@pytest.mark.parametrize(
    ("name", "short"),
    [("Ann Early", "AE"), ("Bo van der Lind", "BL"), ("P-002", "002"), ("Ömer Şen", "ÖŞ"), ("Ada", "Ad")],
)
def test_names_are_shortened_to_initials_or_numbers(name: str, short: str) -> None:
    assert short_name(name) == short


@pytest.mark.parametrize(("minutes", "text"), [(5, "5 min"), (60, "1 h"), (95, "1 h 35 min")])
def test_lengths_are_read_aloud(minutes: int, text: str) -> None:
    assert length(minutes) == text


def test_lists_end_in_and() -> None:
    assert [listed(["a"]), listed(["a", "b"]), listed(["a", "b", "c"])] == ["a", "a and b", "a, b and c"]


def test_outputs_keep_apart_when_shortened() -> None:
    assert short_outputs(["pads", "cups"]) == {"pads": "pa", "cups": "cu"}
    assert short_outputs(["padded", "pads"]) == {"padded": "padd", "pads": "pads"}


def test_a_name_that_is_too_long_for_any_block_is_never_drawn_whole() -> None:
    assert [width_class("Ann"), width_class("A" * 13), width_class("A" * 25)] == ["w4", "w16", "xx"]


def test_distance_from_a_wish_has_a_direction() -> None:
    assert from_wish(550, 540) == "starts 10 min later than wished"
    assert from_wish(530, 540) == "starts 10 min earlier than wished"
    assert from_wish(540, 540) == "starts as wished"


def test_a_bound_says_what_is_proved_and_no_more() -> None:
    assert verdict(5, 5) == "proved least"
    assert "at least 3" in verdict(5, 3)
    assert verdict(5, 0) == ""


@pytest.mark.parametrize(
    ("status", "bounds", "says"),
    [
        ("optimal", {"wish": 5}, "every aim is proved"),
        ("feasible", {"wish": 0}, "give it more seconds"),
        ("feasible", {"wish": 3}, "A better plan may exist"),
    ],
)
def test_what_is_proved_is_said_once_for_the_whole_plan(
    status: PlanStatus, bounds: dict[AimName, int], says: str
) -> None:
    day = a_day(a_visit(), aims=("wish",))
    plan = Plan(date=day.date, status=status, scores={"wish": 5}, bounds=bounds)
    assert says in summary(day, plan, 1).proof


def test_aims_come_in_the_days_order() -> None:
    assert [line.name for line in aim_lines(("wait", "placed"), {"placed": 1, "wait": 2}, {})] == ["wait", "placed"]


def test_cautions_ask_and_name_their_source() -> None:
    # Rand and others 2007: a pacemaker is named for both; joint replacements for ultrasound, pregnancy for stimulation.
    ultrasound, stimulation = questions(("ultrasound", "pads", "cups"))
    assert ultrasound.source == stimulation.source == RAND
    assert any("joint replacement" in asked for asked in ultrasound.asked)
    assert any("pregnant" in asked for asked in stimulation.asked)
    assert all("pacemaker" in " ".join(known.asked) for known in (ultrasound, stimulation))
    assert all(asked.endswith("?") for known in (ultrasound, stimulation) for asked in known.asked)


def test_an_output_without_a_list_says_so_and_names_no_source() -> None:
    (unknown,) = questions(("laser",))
    assert (unknown.source, "No list" in unknown.asked[0]) == ("", True)
