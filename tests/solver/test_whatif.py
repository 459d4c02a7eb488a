"""One more and one less: which days are asked about, how plans with bounds are compared, and a day worked by hand."""

import json
from dataclasses import replace

import pytest

from solver.comparing import Followed, Gain, Where, compared, followed, others_moved, own_or_better
from solver.names import AIMS, AimName
from solver.problem import Day
from solver.schedule import PlacedVisit, Plan
from solver.variants import Kind, variants
from solver.visits import Visit
from solver.whatif import compare, whatif
from tests.builders import (
    A_DATE,
    a_channel,
    a_day,
    a_part,
    a_place,
    a_plan,
    a_therapist,
    a_unit,
    a_visit,
    an_applicator,
    at,
    fixed,
    fixed_part,
    hands_on,
    placed,
    placed_part,
    unattended,
)

TWO: tuple[AimName, ...] = ("placed", "wish")
AWAY: tuple[Kind, ...] = ("unit away",)


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
        (_plan((2, 2), (0, 9)), _plan((1, 1), (0, 50)), Gain("proved", "placed", 1, 1, 1)),
        (_plan((2, 3), (0, 9)), _plan((0, 1), (0, 9)), Gain("at least", "placed", 1, 1, 3)),
        (_plan((1, 1), (0, 9)), _plan((3, 5), (0, 9)), Gain("at least", "placed", -2, -4, -2)),
        (_plan((0, 3), (0, 9)), _plan((0, 1), (0, 9)), Gain("open", "placed", 2, -1, 3)),
        (_plan((1, 1), (20, 20)), _plan((1, 1), (5, 5)), Gain("proved", "wish", 15, 15, 15)),
        (_plan((1, 1), (20, 20)), _plan((1, 1), (20, 20)), Gain("proved", None, 0)),
        (_plan((0, 1), (20, 20)), _plan((1, 1), (5, 5)), Gain("open", "placed", 0, -1, 0)),
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


def _two_units(until: str) -> Day:
    """A visit of 40 minutes fixed at 09:00 on U1, and one of priority 2 that may be anywhere; the watch is enough."""
    held = a_visit(a_part(unattended(40)), id="V1", patient="P1", fixed=fixed(fixed_part(start="09:00", unit="U1")))
    other = a_visit(a_part(unattended(40)), id="V2", patient="P2", priority=2, wish="09:00")
    return a_day(
        held,
        other,
        open="09:00",
        close=until,
        units=[a_unit("U1", channels=[a_channel("s1")]), a_unit("U2", channels=[a_channel("s1")])],
        places=[a_place(bays=("F1", "F2"))],
        staff=[a_therapist(watch_free=2, watch_busy=2)],
        aims=("placed", "wish"),
    )


def test_what_is_fixed_to_a_unit_is_freed_where_the_unit_is_away_and_there_alone() -> None:
    asked = {(each.kind, each.of): each for each in variants(_two_units("10:00"))}
    away, other = asked["unit away", "U1"], asked["unit away", "U2"]
    assert (away.freed, other.freed) == (("V1",), ())
    freed, as_fixed = away.day.visits[0], other.day.visits[0]
    assert (freed.fixed, freed.wish) == (None, at("09:00"))
    assert as_fixed.fixed is not None
    assert {each.freed for each in asked.values() if each.kind != "unit away"} == {()}


@pytest.mark.parametrize("bound_by", ["units", "outputs", "applicator"])
def test_a_visit_that_can_be_on_no_other_unit_is_freed_and_a_free_one_is_not_touched(bound_by: str) -> None:
    part = a_part(
        unattended(40),
        units=("U1",) if bound_by == "units" else None,
        channels={"pads": 2 if bound_by == "outputs" else 1},
        applicators={"cups": 1} if bound_by == "applicator" else {},
    )
    held = a_visit(part, id="V1", patient="P1", fixed=fixed(fixed_part(start="09:00"), therapist="T1"))
    wished = replace(held, id="V2", patient="P2", wish=at("09:30"), fixed=fixed(fixed_part(start="09:00")))
    anywhere = a_visit(a_part(unattended(40)), id="V3", patient="P3", fixed=fixed(fixed_part(start="09:00")))
    day = a_day(
        held,
        wished,
        anywhere,
        replace(held, id="V4", patient="P4", fixed=None),
        units=[a_unit("U1", channels=[a_channel("s1"), a_channel("s2")]), a_unit("U2", channels=[a_channel("s1")])],
        applicators=[an_applicator("cups", ("c1",), fits=("U1",))],
    )
    away = next(each for each in variants(day) if each.kind == "unit away")
    assert away.freed == ("V1", "V2")
    freed = away.day.visits
    assert (freed[0].wish, freed[0].therapist_wish, freed[1].wish) == (at("09:00"), "T1", at("09:30"))
    assert freed[2:] == day.visits[2:]


def test_it_says_what_becomes_of_each_visit_on_a_unit_that_is_away() -> None:
    # Within the hour one of the two stays out, and it is the one of less priority; in two hours it comes after it.
    found = {until: compare(_two_units(until), seconds=4, kinds=AWAY) for until in ("10:00", "11:00")}
    for until, after in (("10:00", None), ("11:00", Where(at("09:40"), ("U2",)))):
        comparison = found[until]
        assert comparison is not None
        away = comparison.rows[0]
        assert (away.of, away.on_it, away.freed) == ("U1", ("V1",), ("V1",))
        assert away.gain is not None
        assert away.gain.verdict == "proved"
        assert (away.gain.aim, away.gain.minutes_or_points) == (("placed", -1) if after is None else ("wish", -40))
        (row,) = away.followed
        assert row.visit == "V1"
        assert row.before == Where(at("09:00"), ("U1",))
        assert row.after == after or (row.after == Where(at("09:00"), ("U2",)) and away.moved == 1)
    assert found["10:00"] is not None
    assert not found["10:00"].even


def test_visits_are_followed_from_the_plan_that_is_kept() -> None:
    day = _two_units("11:00")
    first, second = day.visits
    places = (placed(first, placed_part(first.parts[0], "09:00")),)
    kept = a_plan(day, *places, placed(second, placed_part(second.parts[0], "10:10", unit="U1")))
    found = compare(day, seconds=4, kinds=AWAY, kept=kept)
    assert found is not None
    away = {row.of: row for row in found.rows}
    assert [(each.visit, each.before.start) for each in away["U1"].followed] == [("V1", 540), ("V2", 610)]
    assert (away["U1"].moved, away["U2"].followed, away["U2"].moved) == (0, (), 1)


def test_a_left_out_visit_is_told_of_though_it_was_elsewhere_and_a_moved_one_is_counted() -> None:
    day = _two_units("11:00")
    first, second = day.visits
    before = a_plan(day, placed(first, placed_part(first.parts[0], "09:00")), _on_two(second, "09:00"))
    later = a_plan(day, placed(first, placed_part(first.parts[0], "09:00")), _on_two(second, "09:40"))
    without = a_plan(day, placed(first, placed_part(first.parts[0], "09:00")))
    assert (followed(before, later, "U3"), others_moved(before, later, "U3")) == ((), 1)
    assert followed(before, without, "U1") == (
        Followed("V1", Where(540, ("U1",)), Where(540, ("U1",))),
        Followed("V2", Where(540, ("U2",)), None),
    )


def _on_two(visit: Visit, start: str) -> PlacedVisit:
    return placed(visit, placed_part(visit.parts[0], start, unit="U2", bay="F2"))


def test_the_file_has_the_keys_that_it_always_had() -> None:
    found = whatif(_two_units("10:00"), seconds=4)
    assert found is not None
    assert list(found) == ["format", "day", "variants"]
    own = ["status", "left_out", "scores", "bounds"]
    assert list(found["day"]) == own
    for row in found["variants"]:
        assert list(row) == ["kind", "of", *own, "verdict", "aim", "gain", "affected"]
    assert json.loads(json.dumps(found)) == found


def test_it_ends_where_nobody_wants_any_more() -> None:
    told: list[int] = []
    found = compare(
        _two_units("10:00"), seconds=4, told=lambda done, of: told.append(done), should_stop=lambda: len(told) == 2
    )
    assert found is not None
    assert found.day is not None
    assert (told, len(found.rows)) == ([1, 2], 1)
