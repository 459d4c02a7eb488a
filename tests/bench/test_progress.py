"""The picture of one solve over time says what the moments say."""

import re
from xml.etree import ElementTree

from tests.bench.cases import Case
from tests.bench.outcome import Moment
from tests.bench.progress import drawn

CASE = Case(kind="day", name="L", seed=1, seconds=60)
MOMENTS = [
    Moment(seconds=0.1, scores={"wish": 400}, bounds={"wish": 0}),
    Moment(seconds=5.0, scores={"wish": 200}, bounds={"wish": 90}),
    Moment(seconds=30.0, scores={"wish": 100}, bounds={"wish": 90}),
]


def levels(picture: str, name: str) -> list[float]:
    """The heights, in pixels from the top, that a curve passes through."""
    found = re.search(rf'class="{name}" d="M[\d.]+ ([\d.]+)([^"]*)"', picture)
    assert found is not None
    return [float(found[1]), *(float(level) for level in re.findall(r"V([\d.]+)", found[2]))]


def test_scores_fall_and_bounds_rise_to_scale() -> None:
    picture = drawn(CASE, MOMENTS)
    score, bound = levels(picture, "score"), levels(picture, "bound")
    zero = bound[0]
    assert [round((zero - level) / (zero - score[0]), 3) for level in score] == [1.0, 0.5, 0.25]
    assert [round((zero - level) / (zero - score[0]), 3) for level in bound] == [0.0, 0.225, 0.225]


def test_the_same_can_be_read() -> None:
    described = ElementTree.fromstring(drawn(CASE, MOMENTS)).find("{http://www.w3.org/2000/svg}desc")
    assert described is not None
    assert described.text is not None
    assert "400 minutes from wish" in described.text
    assert "At the end: 100, and none can be below 90" in described.text
