"""One more and one less: which days are asked about, how plans with bounds are compared, and a day worked by hand."""

import pytest

from solver.names import AIMS, AimName
from solver.schedule import Plan
from solver.variants import variants
from solver.whatif import Gain, compared, own_or_better, whatif
from tests.builders import (
    A_DATE,
    a_channel,
    a_day,
    a_part,
    a_place,
    a_therapist,
    a_unit,
    a_visit,
    hands_on,
    unattended,
)

TWO: tuple[AimName, ...] = ("placed", "wish")


def _plan(placed: tuple[int, int], wish: tuple[int, int]) -> Plan:
    """Each aim as its bound and its score."""
    return Plan(
        date=A_DATE,
        status="feasible",
        scores={"placed": placed[1], "wish": wish[1]},
        bounds={"placed": placed[0], "wish": wish[0]},
    )


@pytest.mark.parametrize(
    ("day", "variant", "gain"),
    [
        (_plan((2, 2), (0, 9)), _plan((1, 1), (0, 50)), Gain("proved", "placed", 1)),
        (_plan((2, 3), (0, 9)), _plan((0, 1), (0, 9)), Gain("at least", "placed", 1)),
        (_plan((1, 1), (0, 9)), _plan((3, 5), (0, 9)), Gain("at least", "placed", -2)),
        (_plan((0, 3), (0, 9)), _plan((0, 1), (0, 9)), Gain("open", "placed", 2)),
        (_plan((1, 1), (20, 20)), _plan((1, 1), (5, 5)), Gain("proved", "wish", 15)),
        (_plan((1, 1), (20, 20)), _plan((1, 1), (20, 20)), Gain("proved", None, 0)),
        (_plan((0, 1), (20, 20)), _plan((1, 1), (5, 5)), Gain("open", "placed", 0)),
    ],
)
def test_only_what_the_bounds_prove_is_said_to_be_proved(day: Plan, variant: Plan, gain: Gain) -> None:
    assert compared(TWO, day, variant) == gain


def test_one_more_is_never_said_to_be_worse() -> None:
    own, worse = _plan((0, 1), (0, 5)), _plan((0, 2), (4, 4))
    taken = own_or_better(TWO, own, worse)
    assert (dict(taken.scores), dict(taken.bounds)) == ({"placed": 1, "wish": 5}, {"placed": 0})
    assert own_or_better(TWO, own, None).scores == own.scores


def test_every_thing_is_asked_about_once_and_a_copy_may_do_what_the_unit_may() -> None:
    visit = a_visit(a_part(hands_on(10), units=("U1",)), id="V1")
    day = a_day(visit, units=[a_unit("U1", channels=[a_channel("s1"), a_channel("s2")])])
    asked = list(variants(day))
    kinds = [each.kind for each in asked]
    assert [kinds.count(kind) for kind in ("unit", "channel", "bay", "unit away")] == [1, 1, len(day.places), 1]
    assert kinds.count("item") == len(day.applicators)
    copied = asked[0].day
    assert [unit.id for unit in copied.units] == ["U1", "U1+"]
    assert copied.visits[0].parts[0].units == ("U1", "U1+")
    assert asked[-1].day.units[0].hours == ()


def test_a_second_channel_is_proved_to_place_the_visit_that_one_channel_left_out() -> None:
    # One channel, an hour, two visits of 40 minutes: one stays out. A second channel lets both in; a bay does not.
    visits = [a_visit(a_part(unattended(40)), id=f"V{n}", patient=f"P{n}") for n in (1, 2)]
    day = a_day(
        *visits,
        open="09:00",
        close="10:00",
        units=[a_unit("U1", channels=[a_channel("s1")], patients_at_once=2)],
        places=[a_place(bays=("F1", "F2"))],
        staff=[a_therapist(watch_free=2, watch_busy=2)],
        aims=AIMS[:1],
    )
    found = whatif(day, seconds=4)
    assert found is not None
    told = {row["kind"]: (row["verdict"], row["aim"], row["gain"]) for row in found["variants"]}
    assert told["channel"] == told["unit"] == ("proved", "placed", 1)
    assert told["bay"] == ("proved", None, 0)
    assert told["unit away"] == ("proved", "placed", -1)
    away = next(row for row in found["variants"] if row["kind"] == "unit away")
    assert len(away["affected"]) == 1
