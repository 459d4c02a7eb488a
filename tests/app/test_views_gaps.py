"""Free stretches: what a channel and its unit still have to give."""

from app.views.free_time import Kind, kinds
from app.views.gaps import PROMISE, gaps
from app.views.parts import Planned
from tests.app.clinic_days import planned
from tests.builders import a_channel, a_day, a_part, a_place, a_plan, a_unit, a_visit, hands_on, placed


def times(clinic: Planned, unit: str, channel: str, since: int = 0) -> list[str]:
    return [gap.times for gap in gaps(clinic, clinic.day.unit_by_id[unit], since)[channel]]


def test_a_gap_ends_where_the_channel_is_taken_or_the_unit_is_out_of_service() -> None:
    assert times(planned(), "U1", "u1") == ["09:20–10:00", "10:20–12:00"]


def test_a_gap_ends_where_no_bay_reaches_across() -> None:
    # F2 must be ready for Cy at 09:30, so it is free until 09:25; F1, Ann's, is ready again at 09:25.
    assert times(planned(), "U2", "s2") == ["09:00–09:25", "09:25–11:00"]


def test_the_past_is_no_gap_and_a_gap_keeps_its_key_as_time_goes_on() -> None:
    clinic = planned()
    assert times(clinic, "U1", "u1", since=575) == ["09:35–10:00", "10:20–12:00"]
    assert times(clinic, "U1", "u1", since=660) == ["11:00–12:00"]
    assert times(clinic, "U1", "u1", since=720) == []
    keys = {gaps(clinic, clinic.day.units[0], since)["u1"][-1].key for since in (0, 575, 660)}
    assert keys == {"gap.U1.u1.720"}


def test_a_gap_says_what_it_could_hold_and_from_when_to_when() -> None:
    clinic = planned()
    gap = gaps(clinic, clinic.day.units[0], 0)["u1"][0]
    assert gap.fits == (
        "ultrasound, 10 min: 31 starts, 09:20 to 09:50",
        "pads and ultrasound, 20 min: 21 starts, 09:20 to 09:40",
    )
    assert gap.holds == "ultrasound 10 min; pads and ultrasound 20 min"
    assert gap.label.endswith("could hold ultrasound 10 min; pads and ultrasound 20 min")


def test_a_gap_names_what_it_does_not_look_at() -> None:
    for unlooked in ("staff", "items", "suction", "moves", "battery"):
        assert unlooked in PROMISE


def one_channel_taken(patients: int, bays: int = 2, close: str = "10:00") -> Planned:
    day = a_day(
        a_visit(a_part(hands_on(30))),
        units=(a_unit(patients_at_once=patients, channels=(a_channel("s1"), a_channel("s2"))),),
        places=(a_place(bays=[f"F{n + 1}" for n in range(bays)]),),
        open="09:00",
        close=close,
        bay_turnover_min=5,
    )
    return Planned(day, a_plan(day, placed(day.visits[0], "09:00")))


def test_there_is_no_gap_beside_the_most_patients_a_unit_takes() -> None:
    assert times(one_channel_taken(patients=1), "U1", "s2") == ["09:30–10:00"]
    assert times(one_channel_taken(patients=2), "U1", "s2") == ["09:00–10:00"]


def test_there_is_no_gap_without_a_bay_that_is_ready() -> None:
    assert times(one_channel_taken(patients=2, bays=1, close="10:05"), "U1", "s2") == ["09:35–10:05"]


def test_a_stretch_too_short_for_any_treatment_is_no_gap() -> None:
    day = a_day(a_visit(a_part(hands_on(30))), open="09:00", close="09:59")
    clinic = Planned(day, a_plan(day, placed(day.visits[0], "09:00")))
    assert times(clinic, "U1", "s1") == []


def test_a_treatment_of_two_channels_needs_both_free_at_once() -> None:
    day = a_day(
        a_visit(a_part(hands_on(10), channels={"pads": 2})),
        units=(a_unit(channels=(a_channel("s1"), a_channel("s2", "cups"))),),
        open="09:00",
        close="10:00",
    )
    assert times(Planned(day, a_plan(day)), "U1", "s1") == []


def test_kinds_are_told_apart_by_outputs_and_minutes() -> None:
    assert kinds(planned()) == [
        Kind((("pads", 1),), 10),
        Kind((("ultrasound", 1),), 10),
        Kind((("pads", 1),), 15),
        Kind((("pads", 1),), 20),
        Kind((("pads", 1), ("ultrasound", 1)), 20),
    ]
