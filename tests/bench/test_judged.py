"""Who is ahead, what was known when, and what a goal's verdict says."""

import xml.etree.ElementTree as ET

import pytest

from tests.bench.cases import Case
from tests.bench.entries import OURS, PEERS, Entry, cases_of
from tests.bench.goals import verdicts
from tests.bench.judged import Ahead, Result, ahead, known_at, ours_by_theirs, proved_at
from tests.bench.outcome import Moment, Outcome
from tests.bench.picture import picture
from tests.bench.table import markdown

FIRST = Moment(seconds=0.1, scores={"placed": 0, "wish": 90, "wait": 7}, bounds={"placed": 0, "wish": 0, "wait": 0})
BETTER = Moment(seconds=1.5, scores={"placed": 0, "wish": 40, "wait": 7}, bounds={"placed": 0, "wish": 40, "wait": 0})
LAST = Moment(seconds=4.0, scores={"placed": 0, "wish": 40, "wait": 5}, bounds={"placed": 0, "wish": 40, "wait": 5})
MINE = Outcome(
    scores=LAST.scores,
    bounds=LAST.bounds,
    first=0.004,
    best=4.0,
    proof=4.0,
    memory_mb=150,
    moments=(FIRST, BETTER, LAST),
)


def _theirs(wish: int = 40, proof: float | None = None, placed: int = 0) -> Outcome:
    return Outcome(scores={"placed": placed, "wish": wish}, bounds={}, best=2.0, proof=proof, memory_mb=300)


@pytest.mark.parametrize(
    ("theirs", "expected"),
    [
        (_theirs(45), "ours"),
        (_theirs(35), "peer"),
        (_theirs(0, placed=1), "ours"),
        (_theirs(40), "ours"),
        (_theirs(40, proof=1.0), "peer"),
        (_theirs(40, proof=2.0), "ours"),
        (Outcome(note="no plan"), "ours"),
    ],
)
def test_who_is_ahead(theirs: Outcome, expected: Ahead) -> None:
    assert ahead(MINE, theirs) == expected


def test_without_plans_nobody_is_ahead() -> None:
    assert ahead(Outcome(), Outcome()) == "–"
    assert ahead(Outcome(), _theirs()) == "peer"


def test_the_shared_aims_are_proved_before_all_are() -> None:
    assert proved_at(MINE, ["placed", "wish"]) == 1.5
    assert proved_at(MINE, ["placed", "wish", "wait"]) == 4.0
    assert proved_at(_theirs(proof=3.0), ["wish"]) == 3.0


def test_what_was_known_at_a_time() -> None:
    assert known_at(MINE, 0.05) is None
    assert known_at(MINE, 1.4) == FIRST
    assert known_at(MINE, 60) == LAST


def test_ours_by_theirs() -> None:
    assert ours_by_theirs(MINE, _theirs(80, proof=3.0)) == "wish 0.50, proof 0.50, memory 0.5"
    assert ours_by_theirs(MINE, _theirs(0)) == "wish 40 : 0, memory 0.5"
    assert ours_by_theirs(MINE, _theirs(40)) == "same aims, memory 0.5"


S1 = Case(kind="day", name="S", seed=1, seconds=10)


def _verdict(goal: str, *outcomes: Outcome) -> str:
    results = [Result(case=S1, entry=OURS, outcome=outcome) for outcome in outcomes]
    return next(verdict.verdict for verdict in verdicts(results) if verdict.goal == goal)


def test_goals_are_judged_by_the_worst_day() -> None:
    late = Outcome(scores=LAST.scores, bounds=LAST.bounds, first=0.01, proof=2.0, memory_mb=250, moments=(FIRST,))
    assert _verdict("S: first plan", MINE) == "met"
    assert _verdict("S: first plan", MINE, late) == "missed: 2.00 times as much"
    assert _verdict("S: minutes from wish ÷ bound in 2 s", MINE) == "met"
    assert _verdict("S: minutes from wish ÷ bound in 2 s", MINE, late) == "missed"
    assert _verdict("S: all aims proved", MINE) == "missed: 4.00 times as much"
    assert _verdict("S: all aims proved", MINE, Outcome()) == "missed on 1"
    assert _verdict("S: peak memory", MINE, late) == "missed: 1.25 times as much"


@pytest.mark.parametrize(
    ("score", "bound", "proof", "verdict"),
    [(930, 930, 1.0, "met"), (950, 800, None, "met"), (929, 800, None, "WRONG"), (931, 931, 1.0, "WRONG")],
)
def test_a_job_shop_is_true_to_its_optimum(score: int, bound: int, proof: float | None, verdict: str) -> None:
    """ft10: 930, Fisher & Thompson 1963."""
    case = Case(kind="job-shop", name="ft10", seconds=60)
    outcome = Outcome(scores={"placed": 0, "finish": score}, bounds={"placed": 0, "finish": bound}, proof=proof)
    (found,) = verdicts([Result(case=case, entry=OURS, outcome=outcome)])[-1:]
    assert (found.goal, found.verdict) == ("ft10: true to the published optimum", verdict)


def _results(*theirs: tuple[Entry, Outcome]) -> list[Result]:
    return [Result(case=S1, entry=entry, outcome=outcome) for entry, outcome in ((OURS, MINE), *theirs)]


def test_a_row_that_a_peer_wins_is_named_with_what_it_was_spared() -> None:
    text = markdown(_results((PEERS[0], _theirs(50)), (PEERS[3], _theirs(20))))
    section = text.split("## Where a peer is ahead")[1].split("##")[0].strip()
    assert section == "- S 1: HiGHS grid (on the easier problem); ours ÷ theirs: wish 2.00, memory 0.5"
    assert "batteries" in text.split("## What the peers are spared")[1]


def test_the_picture_says_in_words_what_it_draws() -> None:
    drawn = picture(_results((PEERS[0], _theirs(80)), (PEERS[1], Outcome(note="no plan in 10 s"))))
    root = ET.fromstring(drawn)
    texts = ["".join(node.itertext()) for node in root.iter("{http://www.w3.org/2000/svg}text")]
    assert "40 min, proved" in texts
    assert "80 min" in texts
    assert "no plan" in texts
    widths = [float(node.attrib["width"]) for node in root.iter("{http://www.w3.org/2000/svg}rect")][1:]
    assert widths == [215.0, 430.0]
    assert root.find("{http://www.w3.org/2000/svg}desc") is not None


def test_cases_follow_what_was_asked_for() -> None:
    cases = cases_of(["day", "repair"], ["S", "M"], days=2, most_seconds=5)
    assert [case.title for case in cases] == ["S 1", "S 2", "M 1", "M 2", "M 1 repair", "M 2 repair"]
    assert {case.seconds for case in cases} == {5}
